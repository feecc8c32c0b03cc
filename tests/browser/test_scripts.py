"""Script typed into every text field of every form stays text: on pages, in CSV and in PDF.

The walk follows the links of one small job and of the accounts. Each form on the way is sent with
the payload in all its text fields, and once more without those that were refused. Then every page
is looked at again. The guard fails the test on anything that runs, or that the policy has to stop.
"""

import csv
import io
from urllib.parse import urlsplit

import pymupdf
from playwright.sync_api import expect

PAYLOAD = "'\"><script>ran=1</script><img src=x onerror=ran=2>{{7*7}}#panic()$x$"
"""Ends attributes and tags, runs by tag and by event, and is code to templates and to papers."""
DEVICES = "door contact, Front door, 9 m\nmotion, Shop, 6 m"
START = ("/", "/new/", "/accounts/")
APART = ("/job-file/", ".csv", "/answer/", "/sign-", "/storeys/", "/erase/")
SEND = """async (payload) => {
  const texts = "input[type=text]:not([inputmode], [readonly], [list]), " +
    "input:not([type], [inputmode]), textarea";
  const sent = [];
  for (const form of document.querySelectorAll("main form[method=post]")) {
    let fields = [...form.querySelectorAll(texts)].map((field) => field.name);
    for (let tries = 0; tries < 2 && fields.length; tries++) {
      const body = new FormData(form);
      for (const name of fields) body.set(name, payload);
      const got = await fetch(form.action, { method: "POST", body, redirect: "manual" });
      const taken = got.type === "opaqueredirect";
      const page = new DOMParser().parseFromString(taken ? "" : await got.text(), "text/html");
      sent.push({
        action: new URL(form.action).pathname, taken, status: got.status, fields,
        broken: page.querySelectorAll("img[src=x], script:not([src])").length,
      });
      if (taken) break;
      const wrong = [...page.querySelectorAll(".wrong [name]")].map((field) => field.name);
      fields = fields.filter((name) => !wrong.includes(name));
      if (!wrong.length) break;
    }
  }
  return sent;
}"""


def look(page, address: str) -> list[str]:
    """Open a page, see that nothing ran; gives where its links lead."""
    page.goto(address)
    expect(page.locator("main h1")).to_be_attached(timeout=60_000)
    assert page.evaluate("typeof window.ran") == "undefined", address
    links = "links => links.map(a => a.pathname + a.search)"
    return page.locator("a[href]:not([download])").evaluate_all(links)


def pages(page, job_path: str):
    """Go to every page once, by its path and the names in its query; gives the addresses."""
    seen, waiting = set(), [*START, job_path]
    while waiting:
        address = waiting.pop()
        parts = urlsplit(address)
        kind = (parts.path, *sorted(x.partition("=")[0] for x in parts.query.split("&")))
        wanted = address in START or address.startswith((job_path, "/accounts/"))
        if kind in seen or not wanted or any(part in address for part in APART):
            continue
        seen.add(kind)
        waiting += look(page, address)
        yield address


def squeezed(text: str) -> str:
    """Text without blanks, and without the places at which papers may break long words."""
    return "".join(text.replace("\N{ZERO WIDTH SPACE}", "").split())


def test_what_is_typed_stays_text(laptop, sign_in):
    page = laptop
    sign_in(page, "office")
    page.goto("/new/")
    page.locator("[name=name]").fill(PAYLOAD)
    page.locator("[name=devices]").fill(DEVICES)
    page.get_by_role("button", name="Make the job", exact=True).click()
    page.wait_for_url("**/jobs/**")
    job_path = urlsplit(page.url).path

    sent = [form for _ in pages(page, job_path) for form in page.evaluate(SEND, PAYLOAD)]
    assert [form for form in sent if form["broken"] or form["status"] >= 500] == []
    taken = {form["action"].removeprefix(job_path) for form in sent if form["taken"]}
    assert len(taken) >= 15, sorted(taken)

    shown = {}
    for address in pages(page, job_path):
        shown[address.removeprefix(job_path)] = PAYLOAD in page.locator("body").inner_text()
    for address in ("/", "", "specify/", "specify/parts/", "survey/", "record/", "papers/"):
        assert shown[address], f"the text is not to be seen on {address!r}"

    got = page.request.get(f"{job_path}specify/lists/zones.csv")
    cells = {cell for row in csv.reader(io.StringIO(got.text())) for cell in row}
    assert any(PAYLOAD in cell for cell in cells)

    page.goto(f"{job_path}papers/")
    page.get_by_role("button", name="Make Design assessment", exact=True).click()
    paper = page.get_by_role("link", name="Design assessment of revision").first
    with page.expect_download(timeout=60_000) as download:
        paper.click(timeout=60_000)
    with pymupdf.open(download.value.path()) as document:
        printed = squeezed("".join(sheet.get_text() for sheet in document))
    assert squeezed(PAYLOAD) in printed
