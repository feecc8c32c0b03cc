"""Where in the app each thing that blocks the visit is settled."""

from dataclasses import dataclass
from typing import Final

from pathproof.assess.blocking import Block
from pathproof.papers.names import Names

_PAGES: Final = {
    "none": "specify:parts",
    "zones": "specify:page",
    "codes": "specify:codes",
    "communicator": "specify:communicator",
    "ends": "specify:communicator",
    "limits": "specify:profile",
    "identifiers": "prepare:page",
    "account": "prepare:page",
}
_LINK_PAGE: Final = "specify:power"
_MOBILE_PAGE: Final = "survey:page"


@dataclass(frozen=True, kw_only=True)
class Settled:
    """What blocks the visit, what is to be done, and the page on which it goes into the job."""

    text: str
    do: str
    url_name: str
    fragment: str


def where_settled(block: Block, names: Names) -> Settled:
    """A block in words for a page, with the page for it."""
    kind = block.id.partition(":")[0]
    page = _PAGES.get(kind, _MOBILE_PAGE if kind == "mobile" else _LINK_PAGE)
    return Settled(
        text=names.plain(block.text),
        do=names.plain(block.do),
        url_name=page,
        fragment=f"#{kind}-{block.about}" if page == "prepare:page" else "",
    )
