"""Links of the documentation lead somewhere, and every page of it can be come by."""

import re
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parent.parent
README = ROOT / "README.md"
PAGES = [README, ROOT / "CHANGELOG.md", *sorted((ROOT / "docs").rglob("*.md"))]


def links(page: Path) -> Iterator[tuple[Path, str]]:
    """File and heading of each link to a file of ours."""
    for link in re.findall(r"\]\(([^)\s]+)\)", page.read_text()):
        if not re.match(r"[a-z]+:", link):
            path, _, heading = link.partition("#")
            yield (page.parent / path).resolve() if path else page, heading


def headings(page: Path) -> set[str]:
    """Names by which a page's headings are linked to."""
    titles = re.findall(r"(?m)^#+ (.*)$", page.read_text())
    return {re.sub(r"[^\w\- ]", "", title.strip().lower()).replace(" ", "-") for title in titles}


def test_every_link_leads_to_a_file_and_a_heading_that_are_there() -> None:
    broken = [
        f"{page.relative_to(ROOT)}: {path}#{heading}"
        for page in PAGES
        for path, heading in links(page)
        if not path.exists() or (heading and heading not in headings(path))
    ]
    assert broken == []


def test_every_page_can_be_come_by_from_the_readme() -> None:
    reached, ahead = {README}, [README]
    while ahead:
        found = {path for path, _ in links(ahead.pop()) if path.suffix == ".md"} - reached
        reached |= found
        ahead += found
    assert {page for page in PAGES if page not in reached} == set()
