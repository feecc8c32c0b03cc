"""Preparing: what blocks the visit, numbers as printed, states with their day, the sheet."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone
from stdnum import luhn

from pathproof.assess.account_states import states_reached
from pathproof.assess.context import Context
from pathproof.job import shipped
from pathproof.job.starting import usual
from pathproof.papers.activation_sheet import grouped
from pathproof.terms import AccountState
from pathproof.web.jobs import answers, store
from pathproof.web.jobs.models import Contest, StoredJob
from pathproof.web.listing.making import from_list

from .conftest import DEMO
from .specifying import now, send, text_of

MAIN = DEMO.site.communicators[0]
BODY = "899997000120073499"
CARD = BODY + luhn.calc_check_digit(BODY)
IMEI = "001017000042013"


@pytest.fixture
def browser(as_, technician):
    return as_(technician)


def url(stored, name, *rest):
    return reverse(f"prepare:{name}", args=[stored.pk, *rest])


def numbers(**changed):
    typed = {
        "imei": IMEI, "kind": "roaming", "iccid": CARD, "account": "12AB", "centre": "The centre",
        **changed,
    }  # fmt: skip
    return {f"{MAIN.id}-{name}": value for name, value in typed.items()}


def reached(state, day, text=""):
    return {f"{MAIN.id}-state-{k}": v for k, v in (("state", state), ("day", day), ("text", text))}


def save_numbers(browser, stored, **changed):
    return send(browser, url(stored, "identifiers", MAIN.id), stored, **numbers(**changed))


def test_the_page_says_what_blocks_the_visit(browser, plain_job, technician):
    stored = store.add_job(plain_job, by=technician, what="made")
    words = text_of(browser.get(url(stored, "page")))
    blocks = answers.answer(stored.pk, wait=True).blocks
    assert blocks
    for block in blocks:
        assert block.text in words
    assert "Choose a communicator" in words


def test_a_new_job_is_led_to_card_networks_and_antenna(browser, technician):
    given = {"name": "Mill", **vars(usual(shipped())), "devices": "motion, Hall, 6 m, nothing"}
    stored = store.add_job(from_list(given, shipped()).job, by=technician, what="made")
    got = browser.get(url(stored, "page"))
    (block,) = [b for b in got.context["blocks"] if b["ways"]]
    assert "which card (SIM) it has" in block["do"]
    assert [w.words for w in block["ways"]] == [
        "Say which card it has",
        "Add the networks of the site",
        "Add a spot for its antenna",
        "Say where its antenna is",
        "Record what was read there",
    ]
    assert f'id="{block["ways"][0].url.partition("#")[2]}"' in got.content.decode()
    assert all(browser.get(w.url.partition("#")[0]).status_code == 200 for w in block["ways"])
    words = text_of(got)
    assert "Nothing is on record of card and account yet." in words
    assert "Networks that the card may use" not in words
    state = got.context["communicators"][0]["state"]
    assert state.initial["state"] is AccountState.ORDERED


def test_the_form_beside_a_refused_one_is_of_the_present_revision(browser, stored, technician):
    seen = stored.revision
    reached_now = reached("live", "2026-11-02")
    send(browser, url(stored, "state", MAIN.id), stored, **reached_now)
    newest = StoredJob.objects.get(pk=stored.pk).revision
    got = browser.post(
        url(stored, "identifiers", MAIN.id), {**numbers(imei="12"), "based_on": str(seen)}
    )
    assert got.status_code == 422
    forms = got.content.decode().split("<form ")
    of = {
        name: next(f for f in forms if f"/{MAIN.id}/{name}/" in f) for name in ("numbers", "state")
    }
    assert f'name="based_on" value="{seen}"' in of["numbers"]
    assert f'name="based_on" value="{newest}"' in of["state"]


def test_every_block_of_a_job_leads_to_a_page(browser, plain_job, technician):
    stored = store.add_job(plain_job, by=technician, what="made")
    blocks = browser.get(url(stored, "page")).context["blocks"]
    assert len(blocks) == len(answers.answer(stored.pk, wait=True).blocks)
    for block in blocks:
        assert reverse(block["url_name"], args=[stored.pk])


def test_numbers_are_taken_as_printed(browser, stored):
    spaced = {"imei": "001017-00-004201-3", "iccid": grouped(CARD), "account": "12 AB"}
    got = save_numbers(browser, stored, **spaced)
    assert got.status_code == 302
    told = now(stored).site.communicators[0]
    assert told.sim is not None
    assert (told.imei, told.sim.iccid, told.account) == (IMEI, CARD, "12AB")
    assert (told.part, told.spot, told.antenna) == (MAIN.part, MAIN.spot, MAIN.antenna)


@pytest.mark.parametrize(
    ("field", "wrong", "sentence"),
    [
        ("imei", "001017000042014", "15 digits"),
        ("iccid", CARD[:-1] + str((int(CARD[-1]) + 1) % 10), "a digit is wrong"),
        ("iccid", "123", "18 to 20 digits"),
        ("account", "12XY", "3 to 16 digits"),
    ],
)
def test_a_wrong_number_is_told_beside_it_and_kept_typed(browser, stored, field, wrong, sentence):
    got = save_numbers(browser, stored, **{field: wrong})
    assert got.status_code == 422
    (row,) = [r for r in got.context["communicators"] if r["id"] == MAIN.id]
    assert sentence in str(row["numbers"].errors[field])
    assert f'value="{wrong}"' in got.text
    assert StoredJob.objects.get(pk=stored.pk).revision == stored.revision


def test_a_card_number_printed_otherwise_is_taken_when_somebody_says_so(browser, stored):
    odd = CARD[:-1] + str((int(CARD[-1]) + 1) % 10)
    assert save_numbers(browser, stored, iccid=odd, printed_so="on").status_code == 302
    sim = now(stored).site.communicators[0].sim
    assert sim is not None
    assert sim.iccid == odd


def test_a_card_number_without_a_card_is_told(browser, stored):
    got = save_numbers(browser, stored, kind="")
    assert got.status_code == 422
    assert "which kind of card" in text_of(got)


def test_a_state_goes_on_record_with_its_day(browser, stored, technician):
    day = timezone.now().date() - timedelta(days=2)
    got = send(
        browser, url(stored, "state", MAIN.id), stored, **reached("active", day, "read back")
    )
    assert got.status_code == 302
    job = now(stored)
    assert job.site.communicators[0].state is AccountState.ACTIVE
    entry = states_reached(Context(job, timezone.now(), None, leave_out_later=True), MAIN.id)[
        AccountState.ACTIVE
    ]
    assert (entry.at.date(), entry.by, entry.values.text) == (day, technician.name, "read back")


def test_a_day_to_come_and_none_are_refused(browser, stored):
    late = timezone.now().date() + timedelta(days=3)
    for day, sentence in ((late, "still to come"), ("x", "This is no day"), ("", "Give the day")):
        got = send(browser, url(stored, "state", MAIN.id), stored, **reached("live", day))
        assert got.status_code == 422
        assert sentence in text_of(got)
    assert StoredJob.objects.get(pk=stored.pk).revision == stored.revision


def test_sent_twice_is_saved_once(browser, stored):
    key = str(uuid4())
    for _ in range(2):
        typed = {"key": key, "based_on": stored.revision, **numbers()}
        assert browser.post(url(stored, "identifiers", MAIN.id), typed).status_code == 302
    assert StoredJob.objects.get(pk=stored.pk).revision == stored.revision + 1


def test_two_people_at_the_same_number_are_both_kept(browser, stored):
    assert save_numbers(browser, stored, account="AAAA").status_code == 302
    typed = {"key": str(uuid4()), "based_on": stored.revision, **numbers(account="BBBB")}
    got = browser.post(url(stored, "identifiers", MAIN.id), typed)
    contest = Contest.objects.get()
    assert got["Location"] == reverse("history:contest", args=[stored.pk, contest.pk])
    assert now(stored).site.communicators[0].account == "AAAA"


def test_an_unknown_communicator_is_not_found(browser, stored):
    assert send(browser, url(stored, "identifiers", "nobody"), stored).status_code == 404
    assert browser.get(url(stored, "state", MAIN.id)).status_code == 404


def test_the_sheet_has_the_numbers_in_groups(browser, stored):
    assert save_numbers(browser, stored).status_code == 302
    words = text_of(browser.get(url(stored, "sheet")))
    for number in (IMEI, CARD, "12AB"):
        assert grouped(number) in words
    for zone in DEMO.site.zones:
        assert zone.name in words


def test_the_sheet_of_an_empty_job_says_what_goes_there(browser, plain_job, technician):
    stored = store.add_job(plain_job, by=technician, what="made")
    assert "Choose a communicator" in text_of(browser.get(url(stored, "sheet")))
