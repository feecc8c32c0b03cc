"""The app: a job's signals, unproven first, in a browser on this machine or on the phone beside it.

Thin: permission, form, one call down, show. `jobs` keeps the jobs, `people` the accounts, every
other package here is a set of pages.
"""
