"""Serving the app: make its data ready, say where it is, run until told to stop.

Django is set up in here, so its settings may only be asked for after `setup.set_up`.
"""
