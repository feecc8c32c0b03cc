"""Specification: zones, parts, communicator, antenna, power, profile."""
