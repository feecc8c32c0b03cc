"""What becomes of a change that met another: corrections, parts of a job's own, and choosing."""

from pathlib import Path
from uuid import uuid4

import pytest
from django.db import connection

from pathproof.job import Job, content_hash
from pathproof.job.home import user_library
from pathproof.job.site import Reporting
from pathproof.job.starting import detectors_for
from pathproof.plans.listed import put_listed, read_device_list
from pathproof.terms import JobError
from pathproof.web.jobs import store
from pathproof.web.jobs.models import Contest
from pathproof.web.jobs.store import Contested, Saved

from .conftest import DEMO
from .test_store import FIRST, SECOND, name_of, noting, renaming


def without_device(device: str) -> store.Change:
    """Takes a device out, and the cable to it."""

    def change(job: Job) -> Job:
        site = job.site.model_copy(
            update={
                "devices": [d for d in job.site.devices if d.id != device],
                "cables": [c for c in job.site.cables if c.to != device],
            }
        )
        return job.model_copy(update={"site": site})

    return change


def with_another(device: str, name: str) -> store.Change:
    """Hangs one more device of the same part beside it."""

    def change(job: Job) -> Job:
        like = next(d for d in job.site.devices if d.id == device)
        added = like.model_copy(update={"id": name, "name": name})
        devices = [*job.site.devices, added]
        return job.model_copy(update={"site": job.site.model_copy(update={"devices": devices})})

    return change


def repricing(part: str, price: float) -> store.Change:
    """Changes the job's own copy of a catalogue entry."""

    def change(job: Job) -> Job:
        changed = job.part(part).model_copy(update={"price": price})
        catalogue = {**job.embedded.catalogue, part: changed}
        embedded = job.embedded.model_copy(update={"catalogue": catalogue})
        return job.model_copy(update={"embedded": embedded})

    return change


def both(*changes: store.Change) -> store.Change:
    def change(job: Job) -> Job:
        for one in changes:
            job = one(job)
        return job

    return change


@pytest.fixture
def noted(stored, technician) -> str:
    """The id of a note that is on the stored job's record."""
    store.save(stored.pk, noting("first"), based_on=1, by=technician, what="note")
    return store.load(stored.pk).record[-1].id


@pytest.fixture
def two_corrections(stored, noted, technician, office) -> Contested:
    """What became of the second of two corrections of the same note."""
    for person, text in ((technician, "theirs"), (office, "mine")):
        outcome = store.save(
            stored.pk, noting(text, replaces=noted), based_on=2, by=person, what=text
        )
    assert isinstance(outcome, Contested)
    return outcome


def test_what_two_people_add_under_one_name_is_all_there(stored, technician, office):
    """Two lists of devices that each have a back door, typed on the same revision."""

    def listing(what: str) -> store.Change:
        def change(job: Job) -> Job:
            library = user_library()
            parts = detectors_for(library, job.site.panel.part)
            found = read_device_list(
                what, site=job.site, parts=parts, constructions=library.constructions
            )
            return job.model_copy(update={"site": put_listed(job.site, found)})

        return change

    theirs = "door contact, Cellar door, 12 m"
    mine = "door contact, Cellar door, 4 m\nmotion, Cellar, 6 m"
    store.save(stored.pk, listing(theirs), based_on=1, by=technician, what="theirs")
    saved = store.save(stored.pk, listing(mine), based_on=1, by=office, what="mine")
    assert isinstance(saved, Saved)
    added = store.load(stored.pk).site.devices[len(DEMO.site.devices) :]
    assert [d.name for d in added] == ["Cellar door", "Cellar door", "Cellar"]
    assert [d.between.distance_m for d in added] == [12.0, 4.0, 6.0]
    assert len({d.id for d in added}) == 3


def test_what_there_is_one_of_is_not_exchanged_by_a_second_one(plain_job, technician, office):
    stored = store.add_job(plain_job, by=technician, what="made")

    def watching(interval_s: float) -> store.Change:
        how = Reporting(interval_s=interval_s, misses=2, timeout_s=10.0)
        return lambda job: job.model_copy(
            update={"site": job.site.model_copy(update={"reporting": how})}
        )

    store.save(stored.pk, watching(60.0), based_on=1, by=technician, what="theirs")
    kept = store.save(stored.pk, watching(90.0), based_on=1, by=office, what="mine")
    assert isinstance(kept, Contested)
    assert store.load(stored.pk).site.reporting.interval_s == 60.0


def test_of_two_corrections_of_one_entry_the_later_is_kept_beside(stored, noted, two_corrections):
    contest = Contest.objects.get(pk=two_corrections.contest)
    assert "already replaced" in contest.why
    assert [e["values"]["text"] for e in contest.kept["record"]] == ["mine"]
    assert store.load(stored.pk).record[-1].values.text == "theirs"


def test_a_chosen_correction_corrects_the_one_that_came_first(stored, two_corrections, office):
    store.settle(two_corrections.contest, mine=True, by=office)
    theirs, mine = store.load(stored.pk).record[-2:]
    assert (mine.values.text, mine.replaces) == ("mine", theirs.id)


def test_a_chosen_change_brings_its_correction_along(stored, noted, technician, office):
    """The correction is of an entry that the contest itself does not hold."""
    store.save(stored.pk, renaming(FIRST, "Theirs"), based_on=2, by=technician, what="x")
    change = both(renaming(FIRST, "Mine"), noting("corrected", replaces=noted))
    kept = store.save(stored.pk, change, based_on=2, by=office, what="y")
    store.settle(kept.contest, mine=True, by=office)
    job = store.load(stored.pk)
    assert name_of(job, FIRST) == "Mine"
    assert (job.record[-1].values.text, job.record[-1].replaces) == ("corrected", noted)


def test_a_correction_of_an_own_entry_is_not_taken_for_one_of_theirs(
    stored, noted, technician, office
):
    """Both sides number their entries from the same revision on."""
    last = f"r{int(noted[1:]) + 1:04d}"
    theirs = both(noting("a"), noting("a, corrected", replaces=last), renaming(FIRST, "Theirs"))
    mine = both(noting("b"), noting("b, corrected", replaces=last), renaming(FIRST, "Mine"))
    store.save(stored.pk, theirs, based_on=2, by=technician, what="x")
    kept = store.save(stored.pk, mine, based_on=2, by=office, what="y")
    store.settle(kept.contest, mine=True, by=office)
    record = store.load(stored.pk).record[-4:]
    texts = {e.id: e.values.text for e in record}
    assert [texts.get(e.replaces) for e in record] == [None, "a", None, "b"]


def test_what_cannot_be_put_on_top_even_when_chosen_stays_open(stored, technician, office):
    zone = next(d.zone for d in DEMO.site.devices if d.id == FIRST)
    others = [d.id for d in DEMO.site.devices if d.zone == zone]

    def without_zone(job: Job) -> Job:
        zones = [z for z in job.site.zones if z.id != zone]
        return job.model_copy(update={"site": job.site.model_copy(update={"zones": zones})})

    theirs = both(*(without_device(d) for d in others), without_zone)
    store.save(stored.pk, theirs, based_on=1, by=technician, what="x")
    kept = store.save(stored.pk, with_another(FIRST, "spare"), based_on=1, by=office, what="y")
    assert f"no zone {zone!r}" in Contest.objects.get(pk=kept.contest).why
    with pytest.raises(JobError, match="no zone"):
        store.settle(kept.contest, mine=True, by=office)
    assert Contest.objects.filter(pk=kept.contest, settled_at=None).exists()
    assert store.load(stored.pk).revision == 2


class TestPartsOfItsOwn:
    """A job from elsewhere, where a part of the same name has other figures."""

    @pytest.fixture
    def part(self) -> str:
        return next(d.part for d in DEMO.site.devices if d.id == FIRST)

    @pytest.fixture
    def foreign(self, technician, part):
        return store.add_job(repricing(part, 4321.0)(DEMO), by=technician, what="imported")

    def test_it_keeps_them_through_a_merge(self, foreign, technician, office, part):
        assert user_library().parts[part].price != 4321.0
        for person, device in ((technician, FIRST), (office, SECOND)):
            store.save(foreign.pk, renaming(device, "New"), based_on=1, by=person, what="x")
        assert store.load(foreign.pk).part(part).price == 4321.0

    def test_it_keeps_them_where_the_other_side_took_the_last_out(
        self, foreign, technician, office, part
    ):
        of_it = [d.id for d in DEMO.site.devices if d.part == part]
        takes_out = both(*(without_device(d) for d in of_it))
        store.save(foreign.pk, takes_out, based_on=1, by=technician, what="x")
        assert part not in store.load(foreign.pk).embedded.catalogue
        saved = store.save(
            foreign.pk, with_another(FIRST, "spare"), based_on=1, by=office, what="y"
        )
        assert isinstance(saved, Saved)
        assert store.load(foreign.pk).part(part).price == 4321.0

    def test_a_change_of_them_outlives_a_merge(self, foreign, technician, office, part):
        store.save(foreign.pk, renaming(SECOND, "New"), based_on=1, by=technician, what="x")
        store.save(foreign.pk, repricing(part, 1234.0), based_on=1, by=office, what="y")
        assert store.load(foreign.pk).part(part).price == 1234.0

    def test_they_are_in_what_is_kept_beside(self, foreign, technician, office, part):
        store.save(foreign.pk, renaming(FIRST, "Theirs"), based_on=1, by=technician, what="x")
        mine = both(renaming(FIRST, "Mine"), repricing(part, 1234.0))
        kept = store.save(foreign.pk, mine, based_on=1, by=office, what="y")
        assert store.load(foreign.pk).part(part).price == 4321.0
        store.settle(kept.contest, mine=True, by=office)
        assert store.load(foreign.pk).part(part).price == 1234.0


def test_a_change_of_a_revision_that_is_not_there_says_so(stored, technician):
    """As after a restore, when a page of later days is sent."""
    with pytest.raises(JobError, match=r"made on revision 9; .* its newest is 1"):
        store.save(stored.pk, noting("x"), based_on=9, by=technician, what="x")


def test_a_number_that_came_to_stand_for_another_job_is_read_anew(stored, technician):
    """A restore puts older rows under numbers that were read already."""
    store.save(stored.pk, renaming(FIRST, "Before"), based_on=1, by=technician, what="x")
    assert name_of(store.load(stored.pk), FIRST) == "Before"
    stored.revisions.filter(number=2).delete()
    stored.__class__.objects.filter(pk=stored.pk).update(revision=1)
    store.save(stored.pk, renaming(FIRST, "After"), based_on=1, by=technician, what="y")
    assert name_of(store.load(stored.pk), FIRST) == "After"


def test_a_job_just_saved_is_what_is_read_from_its_rows(stored, technician):
    store.save(stored.pk, noting("x"), based_on=1, by=technician, what="x")
    at_hand = store.load(stored.pk)
    store.forget_all()
    assert store.load(stored.pk) == at_hand
    assert at_hand.hash == content_hash(at_hand)
    assert not at_hand.changed_outside


def _files() -> bytes:
    """All that the database has on disk."""
    name = Path(connection.settings_dict["NAME"])
    return b"".join(f.read_bytes() for f in name.parent.glob(f"{name.name}*"))


@pytest.mark.django_db(transaction=True)
@pytest.mark.skipif(connection.vendor != "sqlite", reason="reads the files of SQLite")
def test_nothing_of_an_erased_job_is_left_in_the_files(technician):
    word = f"Site-{uuid4()}"
    job = DEMO.model_copy(update={"site": DEMO.site.model_copy(update={"name": word})})
    stored = store.add_job(job, by=technician, what="x")
    store.save(stored.pk, noting(word), based_on=stored.revision, by=technician, what="x")
    assert word.encode() in _files()
    store.erase(stored.pk)
    assert word.encode() not in _files()
