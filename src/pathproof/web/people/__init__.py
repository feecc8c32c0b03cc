"""Accounts, roles and signing in."""
