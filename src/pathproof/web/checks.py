"""What is checked when the app starts."""

from typing import Any

from django.core.checks import CheckMessage, Error, register

from pathproof.web.access import ACCESS, url_names


@register()
def every_url_has_its_permission(**kwargs: Any) -> list[CheckMessage]:
    """The table of permissions and the URLs name the same."""
    routed = set(url_names())
    return [
        *(
            Error(
                f"The URL {name!r} stands in no row of ACCESS, so nobody can open it.",
                id="pathproof.E001",
            )
            for name in sorted(routed - ACCESS.keys())
        ),
        *(
            Error(f"ACCESS has a row for {name!r}, which is no URL.", id="pathproof.E002")
            for name in sorted(ACCESS.keys() - routed)
        ),
    ]
