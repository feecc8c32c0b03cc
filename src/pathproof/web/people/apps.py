"""Accounts."""

from django.apps import AppConfig


class PeopleConfig(AppConfig):
    """Accounts, roles and signing in."""

    name = "pathproof.web.people"
    label = "people"
