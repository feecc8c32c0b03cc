"""No page asks for what only a terminal or a job file has."""

import ast
import html
import re
from collections import Counter, deque
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.test import Client

import pathproof
from pathproof.job import Job
from pathproof.terms import LimitName
from pathproof.web.jobs import store
from pathproof.web.jobs.answers import answer
from pathproof.web.saying import Saying

from .conftest import DEMO

BELOW_WEB = ("assess", "instruments", "job", "papers", "plans")
COMMAND = re.compile(r"\bpathproof [a-z]+|(?<![\w-])--[a-z]")
NOT_FOR_PEOPLE = re.compile(
    COMMAND.pattern + r"|\[\d+\]|\bsite\.\w|\b[0-9]{4}-[0-9]{2}-[0-9]{2}\b|\b(radio|mobile):\w"
    r"|\blte_m\b|\bnb_iot\b|\bon_metal\b|\blte m\b|\bnb iot\b|\bmains_recharged\b|\bJOB\b"
    r"|(?<![\w.-])-[0-9.]+ dB"
)
MOST_ALIKE = 8
SHOWN = re.compile(r"(?s)<(script|style|textarea|datalist|code)\b.*?</\1>|<[^>]*>")


def on_grade_2(job: Job) -> Job:
    site = job.site.model_copy(update={"profile": "en_50131_grade_2"})
    return job.model_copy(
        update={"site": site, "embedded": job.embedded.model_copy(update={"profile": None})}
    )


def pages(browser: Client, start: str) -> Iterator[tuple[str, str]]:
    """Address and text of every page that links lead to; of pages alike, the first few."""
    todo, seen = deque([start]), {start}
    alike: Counter[str] = Counter()
    while todo:
        url = todo.popleft()
        answered = browser.get(url)
        assert answered.status_code == 200, url
        if not answered.headers["Content-Type"].startswith("text/html"):
            continue
        markup = answered.content.decode()
        yield url, " ".join(html.unescape(SHOWN.sub(" ", markup)).split())
        for found in re.findall(r'href="([^"#]+)', markup):
            link = html.unescape(found)
            link = url.partition("?")[0] + link if link.startswith("?") else link
            if link.startswith("/") and not link.startswith("/static") and link not in seen:
                seen.add(link)
                shape = re.sub(r"[^/]*[_%=0-9][^/]*(/?)$", r"*\1", link)
                alike[shape] += 1
                if alike[shape] <= MOST_ALIKE:
                    todo.append(link)


def ids_with_a_name(job: Job) -> set[str]:
    site = job.site
    named = [*site.devices, *site.repeaters, *site.spots, *site.zones, *site.floors]
    ids = {x.id for x in named} | {*job.embedded.catalogue, job.profile.id, *map(str, LimitName)}
    return {x for x in ids if "_" in x}


@pytest.mark.parametrize("kind", ["demo", "grade 2", "plain"])
def test_pages_of_a_job_are_in_words_of_the_app(kind, office, as_, plain_job, patient):
    job = {"demo": DEMO, "grade 2": on_grade_2(DEMO), "plain": plain_job}[kind]
    stored = store.add_job(job, by=office, what="imported")
    ids = ids_with_a_name(store.load(stored.pk))
    walked = 0
    for url, text in pages(as_(office), f"/jobs/{stored.pk}/"):
        walked += 1
        wrong = NOT_FOR_PEOPLE.search(text)
        assert wrong is None, f"{url}: {text[wrong.start() - 60 : wrong.end() + 40]}"
        raw = ids.intersection(re.findall(r"[\w.-]+", text))
        assert not raw, f"{url}: {raw}"
    assert walked > (30 if kind == "plain" else 100)


def said_below() -> Iterator[tuple[str, str]]:
    """Every text below `web` that names a command or an option, with where it stands.

    What stands in its gaps is put in as 1.
    """
    root = Path(pathproof.__file__).parent
    for room in BELOW_WEB:
        for path in sorted((root / room).rglob("*.py")):
            tree = ast.parse(path.read_text())
            nodes = [*ast.walk(tree)]
            within = {id(x) for n in nodes if isinstance(n, ast.JoinedStr) for x in n.values}
            within |= {id(n.value) for n in nodes if isinstance(n, ast.Expr)}  # documentation
            for node in nodes:
                if isinstance(node, ast.Constant | ast.JoinedStr) and id(node) not in within:
                    text = _text(node)
                    if COMMAND.search(text):
                        yield f"{path.name}:{node.lineno}", text


def _text(node: ast.AST) -> str:
    if isinstance(node, ast.JoinedStr):
        return "".join(_text(part) for part in node.values)
    if isinstance(node, ast.Constant):
        return node.value if isinstance(node.value, str) else ""
    return "1"


def test_every_command_named_below_has_words_for_a_page():
    texts = list(said_below())
    assert len(texts) > 20
    for where, text in texts:
        assert not COMMAND.search(Saying().sentence(text)), f"{where}: {Saying().sentence(text)}"


def test_a_limit_leads_to_where_it_is_confirmed(office, patient, db):
    stored = store.add_job(on_grade_2(DEMO), by=office, what="imported")
    said = Saying(answer(stored.pk, wait=True)).page(
        "<p>Look walk_in_hand_db up in your own copy and confirm it: pathproof profile confirm.</p>"
    )
    at = f"/jobs/{stored.pk}/specify"
    limit = f'<a href="{at}/confirm/walk_in_hand_db/">“attenuation in the way”</a>'
    profile = f'<a href="{at}/profile/">Profile</a>'
    assert said == f"<p>Look {limit} up in your own copy and confirm it under {profile}.</p>"


def test_places_in_the_job_file_are_named_as_things(stored, patient):
    said = Saying(answer(stored.pk, wait=True)).sentence(
        "site.devices[1] (back_door).zone: given 'x'; site.supply.current_a: missing"
    )
    assert said == "2 Back door, zone: given 'x'; supply, current: missing"


def test_markup_and_what_was_typed_stay_as_they_are(stored, patient):
    typed = (
        '<input value="2026-10-06"><textarea>back_door --walls\n2026-10-06</textarea>'
        '<p data-at="2026-10-06">&lt;b&gt; back_door</p>'
    )
    said = Saying(answer(stored.pk, wait=True)).page(typed)
    assert said == typed.replace("; back_door", "; 2 Back door")


def test_no_link_within_a_link_or_a_button(stored, patient):
    text = "confirm it: pathproof profile confirm"
    said = Saying(answer(stored.pk, wait=True)).page(f"<a href='/'>{text}</a><p>{text}</p>")
    assert said.startswith("<a href='/'>confirm it under Profile</a><p>confirm it under <a href=")
    assert said.count("<a ") == 2


def test_days_moments_and_minus_signs():
    said = Saying().page("<p>On 2026-10-06 11:10, -84 dBm &amp; A-3 m; until 2031-10-05.</p>")
    assert said == ("<p>On 6 October 2026, 11:10, −84 dBm &amp; A-3 m; until 5 October 2031.</p>")
