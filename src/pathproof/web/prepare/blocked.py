"""Where in the app each thing that blocks the visit is settled."""

from dataclasses import dataclass
from typing import Final

from pathproof.assess.blocking import Block
from pathproof.papers.names import Names

_PAGES: Final = {
    "none": "specify:parts",
    "zones": "specify:page",
    "codes": "specify:page",
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
    """What is to be done, and the page on which it goes into the job."""

    do: str
    url_name: str
    fragment: str


def where_settled(block: Block, names: Names) -> Settled:
    """What is to be done about a block, with the page for it."""
    kind = block.id.partition(":")[0]
    page = _PAGES.get(kind)
    if page is None:
        page = _MOBILE_PAGE if kind == "mobile" else _LINK_PAGE
    here = page == "prepare:page"
    do = "Take one of the offers into the job." if "pathproof choose" in block.do else block.do
    return Settled(
        do=names.plain(do), url_name=page, fragment=f"#{kind}-{block.about}" if here else ""
    )
