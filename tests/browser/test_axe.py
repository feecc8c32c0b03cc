"""No page has a serious or critical finding of axe-core, for an empty job and for the demo's."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import get_resolver, reverse

from pathproof.web.access import ACCESS, Who

SERIOUS = ("serious", "critical")
OPEN = (Who.ANYONE, Who.MEMBER, Who.OFFICE)


def paths(job_id):
    """Every page of the table that needs no more than a job to be opened, by its name."""
    for name, who in ACCESS.items():
        wanted = _arguments(name)
        if who in OPEN and wanted <= {"job_id"}:
            yield name, reverse(name, kwargs={"job_id": job_id} if wanted else {})


def _arguments(name):
    """The names of the arguments in a URL."""
    space, _, bare = name.rpartition(":")
    routes = get_resolver().namespace_dict[space][1].reverse_dict.getlist(bare)
    return {argument for _, _, _, converters in routes for argument in converters}


def _findings(page):
    results = Axe().run(page).response["violations"]
    return [
        f"{r['id']}: {r['help']}: {n['target']}: {n['failureSummary']}"
        for r in results if r["impact"] in SERIOUS for n in r["nodes"]
    ]  # fmt: skip


@pytest.mark.parametrize("which", ["demo", "plain"])
def test_no_page_has_a_serious_finding(which, page, served, sign_in):
    job_id = getattr(served, which)
    found, looked_at = {}, []
    page.goto("/sign-in/")
    found["/sign-in/"] = _findings(page)
    sign_in(page, "office")
    for name, path in paths(job_id):
        got = page.request.get(path, max_redirects=0)
        if got.status != 200 or "text/html" not in got.headers["content-type"]:
            continue  # takes forms only, sends elsewhere, or is a file
        page.goto(path)
        found[name] = _findings(page)
        looked_at.append(name)
    assert len(looked_at) >= 10, looked_at
    assert {name: f for name, f in found.items() if f} == {}
