"""Pathproof: prove that when a detector trips, the monitoring centre hears it."""

__version__ = "0.1.0"
