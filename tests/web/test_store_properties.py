"""Whatever people do to a job on whatever revision they saw, nothing that they typed is lost."""

from collections.abc import Callable
from datetime import UTC, datetime
from uuid import UUID

import pytest
from django.apps import apps
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pathproof.job import Device, Entry, Job, Spot, content_hash, dump_job, parse_job
from pathproof.job.adding import Draft, add_entries
from pathproof.job.home import user_library
from pathproof.job.pieces import difference, pieces
from pathproof.terms import JobError, RecordKind
from pathproof.web.jobs import store
from pathproof.web.jobs.models import Contest, Revision
from pathproof.web.jobs.store import Contested, Saved

from .conftest import DEMO

FEW = settings(
    max_examples=6,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
AT = datetime(2026, 12, 1, 10, tzinfo=UTC)

Edit = Callable[[Job, int, str], Job]
"""A change of a job, by a number that picks what is changed and a text that is typed."""


def with_site(job: Job, **fields: object) -> Job:
    return job.model_copy(update={"site": job.site.model_copy(update=fields)})


def item_changed(job: Job, field: str, pick: int, **fields: object) -> Job:
    items = list(getattr(job.site, field))
    if items:
        at = pick % len(items)
        items[at] = items[at].model_copy(update=fields)
    return with_site(job, **{field: items})


def put(job: Job, field: str, item: Device | Spot) -> Job:
    """The item in the place of the one of its id, or last."""
    items = {i.id: i for i in getattr(job.site, field)} | {item.id: item}
    return with_site(job, **{field: list(items.values())})


def renamed(field: str) -> Edit:
    return lambda job, pick, text: item_changed(job, field, pick, name=text)


def device_removed(job: Job, pick: int, text: str) -> Job:
    devices = list(job.site.devices)
    gone = devices.pop(pick % len(devices)).id if len(devices) > 1 else None
    return with_site(job, devices=devices, cables=[c for c in job.site.cables if c.to != gone])


def device_added(job: Job, pick: int, text: str) -> Job:
    """Few ids, so that two people sometimes take the same one."""
    like = job.site.devices[pick % len(job.site.devices)]
    added = like.model_copy(update={"id": f"added_{pick % 5}", "name": text})
    return put(job, "devices", added)


def zone_renumbered(job: Job, pick: int, text: str) -> Job:
    return item_changed(job, "zones", pick, number=90 + len(text) % 3)


def zone_removed(job: Job, pick: int, text: str) -> Job:
    gone = job.site.zones[pick % len(job.site.zones)]
    kept = [z for z in job.site.zones if z is not gone]
    used = any(d.zone == gone.id for d in job.site.devices)
    return job if used else with_site(job, zones=kept)


def spot_added(job: Job, pick: int, text: str) -> Job:
    added = Spot(id=f"spot_{pick % 4}", name=text)
    return put(job, "spots", added)


def wall_moved(job: Job, pick: int, text: str) -> Job:
    return item_changed(job, "walls", pick, top_m=2.0 + pick % 7 / 10)


def panel_raised(job: Job, pick: int, text: str) -> Job:
    panel = job.site.panel.model_copy(update={"height_m": 1.0 + pick % 9 / 10})
    return with_site(job, panel=panel)


def supply_changed(job: Job, pick: int, text: str) -> Job:
    supply = job.site.supply.model_copy(update={"mains_fail_notified": bool(pick % 2)})
    return with_site(job, supply=supply)


def profile_changed(job: Job, pick: int, text: str) -> Job:
    known = sorted(user_library().profiles)
    return with_site(job, profile=known[pick % len(known)])


def module_taken(job: Job, pick: int, text: str) -> Job:
    return item_changed(job, "communicators", pick, centre=text)


def noted(job: Job, pick: int, text: str) -> Job:
    draft = Draft(kind=RecordKind.NOTE, values={"text": text}, at=AT, by="Somebody")
    return add_entries(job, [draft])[0]


def note_corrected(job: Job, pick: int, text: str) -> Job:
    notes = [e.id for e in job.record if e.kind == "note"]
    replaced = {e.replaces for e in job.record}
    open_ = [n for n in notes if n not in replaced]
    if not open_:
        return noted(job, pick, text)
    draft = Draft(
        kind=RecordKind.NOTE,
        values={"text": text},
        at=AT,
        by="S",
        replaces=open_[pick % len(open_)],
    )
    return add_entries(job, [draft])[0]


def walked(job: Job, pick: int, text: str) -> Job:
    about = [e.about[0] for e in DEMO.record if e.kind == "walk"]
    draft = Draft(
        kind=RecordKind.WALK,
        values={"due": 5, "received": 5, "in_hand_db": 6.0},
        about=[about[pick % len(about)]],
        at=AT,
        by=text,
    )
    return add_entries(job, [draft])[0]


EDITS: list[Edit] = [
    *(renamed(f) for f in ("devices", "zones", "spots", "partitions", "floors")),
    *(device_removed, device_added, zone_renumbered, zone_removed, spot_added, wall_moved),
    *(panel_raised, supply_changed, profile_changed, module_taken),
    *(noted, note_corrected, note_corrected, walked),
    lambda job, pick, text: with_site(job, name=text),
]
TYPED = st.text("abc <>'\"&äß", min_size=1, max_size=8)
STEP = st.tuples(
    st.integers(0, 3),  # so many revisions ago the page was opened
    st.lists(st.tuples(st.sampled_from(EDITS), st.integers(0, 40), TYPED), min_size=1, max_size=3),
)


def apart_from_id(entries: list[Entry]) -> list[dict]:
    """Entries by all they say but the ids, which are given anew where two numbered alike."""
    return [e.model_dump(mode="json", exclude={"id", "replaces"}) for e in entries]


class Kept:
    """A stored job, what was ever seen of it, and what has to hold after each save."""

    def __init__(self, job_id: UUID) -> None:
        self.job_id = job_id
        self.newest = store.load(job_id)
        self.seen = {self.newest.revision: dump_job(self.newest)}

    def save(self, ago: int, edits: list, person) -> None:
        based_on = max(min(self.seen), self.newest.revision - ago)
        base = store.load(self.job_id, based_on)

        def change(job: Job) -> Job:
            for edit, pick, text in edits:
                job = edit(job, pick, text)
            return job

        try:
            mine = change(base)
            outcome = store.save(self.job_id, change, based_on=based_on, by=person, what="x")
        except JobError:  # it makes no sense on what was seen: refused, and nothing changes
            assert store.load(self.job_id).revision == self.newest.revision
            return
        before, now = self.newest, self.sound()
        changed, added = difference(base.site, mine.site), mine.record[len(base.record) :]
        if isinstance(outcome, Contested):
            assert now == before
            contest = Contest.objects.get(pk=outcome.contest)
            assert contest.pieces == changed
            said = [e["values"] for e in contest.kept["record"]]
            assert said == [e.values.model_dump(mode="json", exclude_defaults=True) for e in added]
            return
        there = pieces(now.site)
        assert {key: there.get(key) for key in changed} == changed
        tail = now.record[len(now.record) - len(added) :] if added else []
        assert apart_from_id(tail) == apart_from_id(added)

    def settle(self, mine: bool, person) -> None:
        for contest in Contest.objects.filter(job=self.job_id, settled_at=None):
            try:
                store.settle(contest.pk, mine=mine, by=person)
            except JobError:
                contest.refresh_from_db()
                assert contest.settled_at is None
            now = self.sound()
            if mine and Contest.objects.get(pk=contest.pk).settled_at:
                there = pieces(now.site)
                assert {key: there.get(key) for key in contest.pieces} == contest.pieces

    def sound(self) -> Job:
        """The job as its rows have it, after what has to hold of it was seen to."""
        store.forget_all()
        now, before = store.load(self.job_id), self.newest
        assert parse_job(dump_job(now), user_library()) == now
        assert now.hash == content_hash(now)
        assert not now.changed_outside
        assert now.record[: len(before.record)] == before.record
        for field in ("devices", "zones", "spots", "walls"):
            old, new = ([i.id for i in getattr(j.site, field)] for j in (before, now))
            assert [i for i in new if i in old] == [i for i in old if i in new]
        self.newest = now
        self.seen[now.revision] = dump_job(now)
        numbers = Revision.objects.filter(job=self.job_id).values_list("number", flat=True)
        assert sorted(numbers) == sorted(self.seen)
        return now


@FEW
@given(steps=st.lists(STEP, min_size=3, max_size=7), choice=st.booleans())
def test_nothing_typed_is_lost(technician, office, steps, choice):
    kept = Kept(store.add_job(DEMO, by=technician, what="x").pk)
    for number, (ago, edits) in enumerate(steps):
        kept.save(ago, edits, (technician, office)[number % 2])
    kept.settle(choice, office)
    store.forget_all()
    assert {n: dump_job(store.load(kept.job_id, n)) for n in kept.seen} == kept.seen


@FEW
@given(one=STEP, other=STEP)
def test_edits_apart_give_the_same_site_in_either_order(technician, office, one, other):
    def made(job: Job, edits: list) -> Job:
        for edit, pick, text in edits:
            job = edit(job, pick, text)
        return job

    try:
        changed = [difference(DEMO.site, made(DEMO, e).site) for _, e in (one, other)]
    except JobError:
        return
    ends = []
    for order in ((one, other), (other, one)):
        job_id = store.add_job(DEMO, by=technician, what="x").pk
        try:
            outcomes = [
                store.save(job_id, lambda j, e=e: made(j, e), based_on=1, by=by, what="x")
                for (_, e), by in zip(order, (technician, office), strict=True)
            ]
        except JobError:
            return
        ends.append((outcomes, store.load(job_id)))
    (first, here), (second, there) = ends
    assert isinstance(first[1], Contested) == isinstance(second[1], Contested)
    if isinstance(first[1], Saved):
        assert (
            pieces(here.site)
            == pieces(there.site)
            == {
                key: value
                for key, value in {**pieces(DEMO.site), **changed[0], **changed[1]}.items()
                if value is not None
            }
        )
        added = [apart_from_id(job.record[len(DEMO.record) :]) for job in (here, there)]
        assert sorted(map(str, added[0])) == sorted(map(str, added[1]))


def test_items_keep_their_order_where_others_change_some_of_them(technician, office):
    job_id = store.add_job(DEMO, by=technician, what="x").pk
    store.save(job_id, lambda j: device_removed(j, 1, ""), based_on=1, by=technician, what="x")
    store.save(job_id, lambda j: renamed("devices")(j, 3, "New"), based_on=1, by=office, what="x")
    expected = [d.id for d in DEMO.site.devices]
    del expected[1]
    assert [d.id for d in store.load(job_id).site.devices] == expected


@FEW
@given(steps=st.lists(STEP, min_size=2, max_size=4))
def test_nothing_is_left_of_an_erased_job(technician, office, steps):
    kept = Kept(store.add_job(DEMO, by=technician, what="x").pk)
    for ago, edits in steps:
        kept.save(ago, edits, office)
    store.keep_picture(kept.job_id, b"png")
    store.erase(kept.job_id)
    of_jobs = [
        model
        for model in apps.get_app_config("jobs").get_models()
        if any(f.name == "job" for f in model._meta.get_fields())
    ]
    assert len(of_jobs) >= 9
    assert not [m for m in of_jobs if m.objects.filter(job=kept.job_id).exists()]
    with pytest.raises(Revision.DoesNotExist):
        store.load(kept.job_id, 1)
