"""Preparing the visit: identifiers, states, activation, what still blocks it."""
