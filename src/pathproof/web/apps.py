"""The app as a whole."""

from django.apps import AppConfig


class WebConfig(AppConfig):
    """Templates, static files and checks that all pages share."""

    name = "pathproof.web"
    label = "web"
    verbose_name = "Pathproof"

    def ready(self) -> None:
        from pathproof.web import checks  # noqa: F401  (registers itself)
