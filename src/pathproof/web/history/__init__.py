"""Revisions, and changes that met each other."""
