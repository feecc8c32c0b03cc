"""Differences of two sites, in words."""

from datetime import datetime

from pathproof.job import Job, Site
from pathproof.job.adding import Draft, add_entries
from pathproof.job.changes import NOTHING, added_entries, changes, sides
from pathproof.job.pieces import difference
from pathproof.terms import RecordKind


def site(**given: object) -> Site:
    return Site.model_validate({"name": "Mill", **given})


def contact(**given: object) -> dict[str, object]:
    return {"id": "door", "name": "Kitchen door", "part": "lark_contact", **given}


def test_equal_sites_have_no_changes():
    assert changes(site(devices=[contact()]), site(devices=[contact()])) == []


def test_a_changed_value_is_named_with_its_unit_and_both_sides():
    [change] = changes(site(devices=[contact(height_m=1.5)]), site(devices=[contact(height_m=2.2)]))
    assert (change.thing, change.how) == ("device Kitchen door", "changed")
    [field] = change.fields
    assert (field.name, field.values) == ("height [m]", ("1.5", "2.2"))


def test_values_inside_values_are_told_apart():
    [change] = changes(
        site(devices=[contact(between={"distance_m": 5.0, "walls": {"brick_plastered_145": 1}})]),
        site(devices=[contact(between={"distance_m": 5.0, "walls": {"brick_plastered_145": 2}})]),
    )
    assert [(f.name, f.values) for f in change.fields] == [
        ("between, walls, brick plastered 145", ("1", "2"))
    ]


def test_what_is_new_and_what_is_gone():
    there, gone = site(devices=[contact()]), site()
    [added], [taken] = changes(gone, there), changes(there, gone)
    assert (added.how, taken.how) == ("added", "taken out")
    assert ("part", (NOTHING, "lark_contact")) in [(f.name, f.values) for f in added.fields]
    assert ("part", ("lark_contact", NOTHING)) in [(f.name, f.values) for f in taken.fields]


def test_a_plain_field_of_the_site():
    [change] = changes(site(), site(reference="J-1"))
    assert change.thing == "reference"
    assert change.fields[0].values == (NOTHING, "J-1")


def test_three_sides_stand_beside_each_other():
    base, mine, theirs = (site(devices=[contact(height_m=h)]) for h in (1.0, 2.5, 3.0))
    [change] = sides(base, difference(base, mine), theirs)
    assert [(f.name, f.values) for f in change.fields] == [("height [m]", ("1.0", "2.5", "3.0"))]


def test_added_entries_are_counted_by_kind():
    draft = Draft(
        kind=RecordKind.NOTE,
        values={"text": "x"},
        at=datetime.fromisoformat("2026-05-04T10:00:00+00:00"),
        by="Somebody",
    )
    _, added = add_entries(Job(site=site()), [draft, draft])
    assert added_entries(added) == "2 note"
    assert added_entries([]) == ""
