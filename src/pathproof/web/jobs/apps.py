"""Jobs."""

from django.apps import AppConfig


class JobsConfig(AppConfig):
    """Jobs, their revisions, records, papers and links."""

    name = "pathproof.web.jobs"
    label = "jobs"
