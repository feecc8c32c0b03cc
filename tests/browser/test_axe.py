"""No page has a serious or critical finding of axe-core: the app's, the customer's, and errors."""

import json

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.template.loader import render_to_string
from django.test import RequestFactory
from django.urls import get_resolver, reverse
from playwright.sync_api import expect

from pathproof.web.access import ACCESS
from pathproof.web.signals.kinds import FORMS
from pathproof.web.works import Progress

SERIOUS = ("serious", "critical")
WIDE = (
    "handover:page", "history:page", "listing:jobs", "prepare:page", "signals:page",
    "specify:communicator", "specify:parts", "survey:devices", "survey:page",
)  # fmt: skip
"""Pages that are laid out otherwise on a laptop."""
NO_PAGES = {
    "customer:paper", "handover:download", "handover:link", "handover:make", "handover:making",
    "handover:withdraw", "listing:demo", "listing:export", "listing:export_revision",
    "listing:token", "people:first_account", "people:sign_out", "prepare:identifiers",
    "prepare:state", "specify:csv", "survey:heard", "survey:map_json", "survey:map_png",
    "survey:picture", "survey:plan", "survey:sheet",
}  # fmt: skip
"""They take forms, send elsewhere, or give a file or a part of a page."""
REACHED_OTHERWISE = {"people:sign_in", "specify:take", "survey:look"}
WRONG = {
    "refused": ("errors/refused.html", {"why": "Given: 3. Allowed: 1 to 2."}),
    "failed": ("errors/failed.html", {}),
    "stale form": ("errors/stale_form.html", {"typed": [("name", "Ann")], "back": "/"}),
    "too many tries": ("people/too_many.html", {}),
    "working": ("working.html", {"progress": Progress("Reading the plan", "walls", 1, 2)}),
    "customer, working": ("customer/working.html", {}),
    "customer, not now": ("customer/no_answer_now.html", {}),
}
"""Pages that only come up when something is amiss or slow."""
MADE = """
import io
import json
import ezdxf
import django
django.setup()
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image
from pathproof.web.handover.links import make_link
from pathproof.web.jobs import store
from pathproof.web.jobs.answers import answer
from pathproof.web.jobs.models import StoredJob
from pathproof.web.people.models import Person
from pathproof.web.survey.importing import start_import
stored, by = StoredJob.objects.get(pk="%s"), Person.objects.get(username="tech")
def named(name):
    return lambda job: job.model_copy(update={"site": job.site.model_copy(update={"name": name})})
store.save(stored.pk, named("One side"), based_on=1, by=by, what="renamed")
met = store.save(stored.pk, named("Another side"), based_on=1, by=by, what="renamed as well")
drawing, text, sheet = ezdxf.new("R2010", units=4), io.StringIO(), io.BytesIO()
for low, right, high in ((0, 6000, 4000), (-200, 6200, 4200)):
    corners = [(low, low), (right, low), (right, high), (low, high), (low, low)]
    for a, b in zip(corners, corners[1:]):
        drawing.modelspace().add_line(a, b, {"layer": "WALL"})
drawing.write(text)
Image.new("RGB", (400, 300), "white").save(sheet, "PNG")
sent = [("room.dxf", text.getvalue().encode()), ("sheet.png", sheet.getvalue())]
opened = answer(stored.pk, wait=True)
site = opened.job.site
print(json.dumps({
    "contest": met.contest,
    "person": by.pk,
    "secret": make_link(stored, site, days=1, note="x", by=by, typed=None).secret,
    "looks": [start_import(stored.pk, [SimpleUploadedFile(*one)]) for one in sent],
    "links": list({link.kind: link.id for link in opened.assessment.links}.values()),
    "floors": [floor.id for floor in site.floors],
    "communicator": site.communicators[0].id,
    "device": site.devices[0].id,
    "zone": site.zones[0].id,
    "spot": site.spots[0].id,
    "limit": min(opened.job.profile.limits),
}))
"""


@pytest.fixture(scope="module")
def made(served):
    """Of the demo's job, something of each kind that a page may be about."""
    return json.loads(served.python(MADE % served.demo))


def arguments(job_id, made):
    """What stands in the addresses of pages that need more than a job, by their names."""
    job = {"job_id": job_id}
    return {
        "customer:answer": [{"secret": made["secret"]}, {"secret": "wrong"}],
        "history:changes": [job | {"before": 1, "after": 2}],
        "history:contest": [job | {"contest_id": made["contest"]}],
        "people:account": [{"person_id": made["person"]}],
        "people:set_password": [{"person_id": made["person"]}],
        "signals:evidence": [job | {"kind": kind} for kind in FORMS],
        "signals:link": [job | {"link_id": link} for link in made["links"]],
        "specify:add": [job | {"kind": "devices"}],
        "specify:confirm": [job | {"limit": made["limit"]}],
        "specify:device": [job | {"piece": made["device"]}],
        "specify:edit": [job | {"kind": "zones", "piece": made["zone"]}],
        "specify:hang": [job | {"piece": made["communicator"]}],
        "specify:single": [job | {"kind": "supply"}],
        "survey:place": [job | {"kind": "spot", "thing": made["spot"]}],
        "survey:storey": [job | {"floor": floor} for floor in made["floors"]],
    }


def plain_pages(job_id):
    """Addresses of pages that need no more than a job, by their names."""
    for name in sorted(ACCESS.keys() - NO_PAGES - REACHED_OTHERWISE):
        space, _, bare = name.rpartition(":")
        routes = get_resolver().namespace_dict[space][1].reverse_dict.getlist(bare)
        wanted = {argument for _, _, _, converters in routes for argument in converters}
        if wanted <= {"job_id"}:
            yield name, reverse(name, kwargs={"job_id": job_id} if wanted else {})


class Looks:
    """What axe-core finds on pages, by their addresses."""

    def __init__(self, page):
        self.page = page
        self.found = {}

    def at(self, path, status=200):
        """Opens a page, waits until it is worked out, and looks at it."""
        answer = self.page.goto(path)
        if answer.status == 202:
            self.page.wait_for_selector("body:not(:has(#working))", timeout=120_000)
        else:
            assert answer.status == status, path
            assert "text/html" in answer.headers["content-type"], path
        self.here(path)

    def here(self, path):
        """Looks at the page that is open."""
        seen = Axe().run(self.page, options={"resultTypes": ["violations"]}).response
        found = [
            f"{x['id']}: {x['help']}: {n['target']}: {n['failureSummary']}"
            for x in seen["violations"] if x["impact"] in SERIOUS for n in x["nodes"]
        ]  # fmt: skip
        if found:
            self.found[path] = found


@pytest.fixture
def looks(phone):
    return Looks(phone)


@pytest.mark.parametrize("which", ["demo", "plain"])
def test_no_page_of_a_job_has_a_serious_finding(which, looks, served, sign_in, made):
    looks.at("/sign-in/")
    sign_in(looks.page, "office")
    for _, path in plain_pages(getattr(served, which)):
        looks.at(path)
    assert looks.found == {}


def test_no_wide_page_has_a_serious_finding(laptop, served, sign_in, made):
    looks = Looks(laptop)
    sign_in(laptop, "office")
    paths = dict(plain_pages(served.demo))
    for name in WIDE:
        looks.at(paths[name])
    assert looks.found == {}


def test_no_page_about_one_thing_has_a_serious_finding(looks, served, sign_in, made):
    sign_in(looks.page, "office")
    each = arguments(served.demo, made)
    assert each.keys() | dict(plain_pages(served.demo)).keys() == (
        ACCESS.keys() - NO_PAGES - REACHED_OTHERWISE
    ), "a page that nobody looks at"
    for name, found in each.items():
        for given in found:
            looks.at(reverse(name, kwargs=given), 404 if given.get("secret") == "wrong" else 200)
    for path in made["looks"]:
        looks.at(path)
    looks.page.goto(f"{reverse('specify:communicator', args=[served.demo])}?every=yes")
    taking = looks.page.locator("a[href*='/take/']").first
    looks.at(taking.get_attribute("href", timeout=120_000))
    assert looks.found == {}


def test_no_page_of_what_went_wrong_has_a_serious_finding(looks, served, sign_in):
    page = looks.page
    sign_in(page, "tech")
    looks.at(reverse("people:accounts"), 403)
    looks.at("/nowhere/", 404)
    page.goto(reverse("specify:site", args=[served.plain]))
    page.locator("main [name=name]").fill("")
    page.locator("main [name=name]").evaluate("field => field.form.noValidate = true")
    page.get_by_role("button", name="Save").click()
    expect(page.locator("main .wrong [name=name]")).to_have_value("")
    looks.here("a form that was refused")
    assert looks.found == {}


@pytest.mark.parametrize("which", WRONG)
def test_no_page_that_comes_up_seldom_has_a_serious_finding(which, looks):
    template, context = WRONG[which]
    body = render_to_string(template, context, request=RequestFactory().get("/"))
    looks.page.route("**/shown/", lambda route: route.fulfill(body=body, content_type="text/html"))
    looks.at("/shown/")
    assert looks.found == {}
