"""Errors name the path in the file, what was given and what is allowed, in the file's own words."""

import json
from collections.abc import Callable
from typing import Any

import pytest

from pathproof.job import Library, Site, parse_job
from pathproof.terms import JobError, RecordKind

Refusal = Callable[[Callable[[dict[str, Any]], object]], str]

PATHS_AND_TEXTS: list[tuple[str, Any, str]] = [
    # fields by type
    ("site.name", 5, "given 5; allowed: text in quotes"),
    ("site.name", "", "given ''; allowed: at least 1 character"),
    ("site.name", "x" * 201, "allowed: at most 200 characters"),
    ("site.devices", {}, "given an object; allowed: a list in brackets [ ]"),
    ("site.devices[1]", 7, "given 7; allowed: an object in braces { }"),
    ("site.devices[0].height_m", "2.0", 'given "2.0"; allowed: a number, without quotes'),
    ("site.devices[0].height_m", True, "given true; allowed: a number, without quotes"),
    ("site.devices[0].height_m", -0.1, "given -0.1; allowed: greater than or equal to 0"),
    ("site.devices[0].carried", "yes", 'given "yes"; allowed: true or false, without quotes'),
    ("site.devices[0].mounting", "wodd", "given \"wodd\"; allowed: 'wood', 'masonry', "),
    ("site.devices[0].at", [1.0], "is missing and has to be given"),
    ("site.devices[0].at[0]", 512.5, "given 512.5; allowed: less than or equal to 512"),
    ("site.walls[2].end[1]", -513.0, "given -513.0; allowed: greater than or equal to -512"),
    ("site.walls[2].start", [1, 2, 3], "allowed: at most 2 items; it has 3"),
    ("site.zones[0].number", 1.0, "given 1.0; allowed: a whole number, without quotes"),
    ("site.zones[0].number", "1", 'given "1"; allowed: a whole number, without quotes'),
    ("site.zones[1].kind", "silent", "given \"silent\"; allowed: 'entry_exit', 'immediate', "),
    ("site.country", "Austria", 'given "Austria"; allowed: two capital letters, such as AT'),
    ("site.time_zone", "Mars/Olympus", "allowed: a time zone by its IANA name, such as Europe/"),
    ("site.time_zone", "localtime", "allowed: a time zone by its IANA name, such as Europe/"),
    ("site.time_zone", "posix/Europe/Vienna", "allowed: a time zone by its IANA name, such as"),
    ("site.networks[0].mcc_mnc", "00101", "allowed: country and network code, such as 001-01"),
    ("site.networks[0].bands[1]", "band 8", "allowed: a 3GPP band number, such as 20, B20 or n78"),
    ("site.battery.fitted_on", "27.2.2026", "allowed: a date, such as 2026-05-04"),
    ("site.battery.fitted_on", 20260227, "allowed: a date, such as 2026-05-04"),
    ("site.communicators[0].antenna", "a b", "allowed: up to 64 letters, digits, dots, dashes"),
    ("site.communicators[0].feeder.length_m", 0, "given 0; allowed: greater than 0"),
    ("site.communicators[0].imei", "260531793113838", "allowed: 15 digits, the last one a check"),
    ("site.constructions.brick_250.layers[1].thickness_m", -0.25, "allowed: greater than 0"),
    ("site.constructions.brick_250.layers[1].material", "stone", "allowed: 'air', 'concrete', "),
    # a kind of entry or part is not in the path
    ("record[3].values.due", "ten", 'given "ten"; allowed: a whole number, without quotes'),
    ("record[0].values.levels[1].value", "low", "allowed: a number, without quotes"),
    ("record[0].at", "2026-03-02T09:12:30", "allowed: a moment with its offset, such as 2026-"),
    ("record[0].at", "yesterday", "allowed: a moment with its offset, such as 2026-05-04T10:00"),
    ("record[0].at", 1772439150, "allowed: a moment with its offset, such as 2026-05-04T10:00"),
    ("record[0].at", "1989-12-31T23:59:59Z", "allowed: a moment of the years 1990 to 2099"),
    ("record[0].at", "0001-01-01T00:00:00+23:59", "allowed: a moment of the years 1990 to 2099"),
    ("record[0].at", "2100-01-01T00:00:00Z", "allowed: a moment of the years 1990 to 2099"),
    ("record[0].raw", "+CSQ\0", "allowed: text without the character of code zero"),
    ("site.zones[0].event", "13\0", "allowed: text without the character of code zero"),
    ("record[4]", None, "given null; allowed: an object in braces { }"),
    ("record[2].kind", "wlak", "given 'wlak'; allowed: 'reading', 'level', 'walk', "),
    ("record[10].values.media_type", "image/gif", "allowed: 'image/jpeg', 'image/png' or 'image/"),
    ("record[1].fits.radio:smoke>panel", "xyz", "allowed: 16 digits 0 to 9 and a to f"),
    ("embedded.catalogue.kw_panel.radios[0].frequency_hz", 868.3, "allowed: greater than or equal"),
    ("embedded.catalogue.kw_panel.kind", "pannel", "given 'pannel'; allowed: 'panel', 'detector'"),
    ("embedded.catalogue.kw_button.radio.family", "K K", "allowed: up to 32 small letters, digit"),
    ("embedded.constructions.stud_100.layers[0].thickness_m", 9, "less than or equal to 5"),
    ("embedded.profile.limits.standby_h.value", "12", "allowed: a number, without quotes"),
    ("hash", "abc", 'given "abc"; allowed: 64 digits 0 to 9 and a to f'),
    ("revision", -1, "given -1; allowed: greater than or equal to 0"),
    ("revision", 2**31 - 1, "allowed: less than or equal to 2000000000"),
    ("revision", 2**63, "allowed: less than or equal to 2000000000"),
]


def put(data: Any, path: str, value: Any) -> None:
    """Set what stands at a path of the file."""
    steps: list[str | int] = []
    rest = path
    while rest:
        if rest.startswith("["):
            number, _, rest = rest[1:].partition("]")
            steps.append(int(number))
        else:
            name, _, rest = rest.partition(".") if "[" not in rest.split(".")[0] else _cut(rest)
            steps.append(name)
        rest = rest.removeprefix(".")
    for step in steps[:-1]:
        data = data[step]
    data[steps[-1]] = value


def _cut(rest: str) -> tuple[str, str, str]:
    at = rest.index("[")
    return rest[:at], "", rest[at:]


@pytest.mark.parametrize(("path", "value", "text"), PATHS_AND_TEXTS)
def test_field(refusal: Refusal, path: str, value: Any, text: str) -> None:
    message = refusal(lambda data: put(data, path, value))
    lines = message.splitlines()
    assert lines[0] == "a.json cannot be used:"
    shown = f"{path}[1]" if text.startswith("is missing") else path
    line = next((x for x in lines[1:] if x.startswith(f"  {shown}: ")), None)
    assert line is not None, message
    assert text.replace("''", '""') in line


@pytest.mark.parametrize(
    ("where", "field", "path"),
    [
        ("site", "name", "site.name"),
        ("site.walls[0].openings[0]", "width_m", "site.walls[0].openings[0].width_m"),
        ("record[3].values", "due", "record[3].values.due"),
        ("record[3]", "kind", "record[3].kind"),
        ("embedded.catalogue.kw_coax", "kind", "embedded.catalogue.kw_coax.kind"),
        ("embedded.catalogue.kw_coax", "source", "embedded.catalogue.kw_coax.source"),
        ("", "site", "site"),
    ],
)
def test_missing_field(refusal: Refusal, where: str, field: str, path: str) -> None:
    def take_out(data: Any) -> None:
        holder = data
        for step in where.replace("[", ".").replace("]", "").split(".") if where else []:
            holder = holder[int(step) if step.isdigit() else step]
        del holder[field]

    assert f"  {path}: is missing and has to be given" in refusal(take_out).splitlines()


def test_unknown_field_is_named(refusal: Refusal) -> None:
    assert "  site.walls[1].colour: is not a field of this format" in refusal(
        lambda data: data["site"]["walls"][1].update(colour="red")
    )


def test_names_cannot_steer_a_terminal_or_fill_the_screen(refusal: Refusal) -> None:
    def spoil(data: Any) -> None:
        data["site"] |= {"\x1b[2J\x9b": 1, "\r\n\u2028": 2, "x" * 5000: 3, "name": "\x1b[31m" * 50}
        data["record"][0]["kind"] = "\x1b" * 500

    lines = refusal(spoil).splitlines()
    assert len(lines) == 6
    assert all(line.isprintable() and len(line) < 250 for line in lines)
    assert r"  site.\x1b[2J\x9b: is not a field of this format" in "\n".join(lines)


def test_bad_name_of_an_entry(refusal: Refusal) -> None:
    message = refusal(
        lambda data: data["site"]["constructions"].update(
            {"two words": data["site"]["constructions"]["brick_250"]}
        )
    )
    assert '  site.constructions: given the name "two words"; allowed: up to 64 letters' in message


def test_values_of_one_kind_in_an_entry_of_another(refusal: Refusal) -> None:
    message = refusal(lambda data: data["record"][3].update(kind="note"))
    assert "  record[3].values.text: is missing and has to be given" in message
    assert "  record[3].values.due: is not a field of this format" in message


def test_all_problems_at_once_but_not_more_than_ten(refusal: Refusal) -> None:
    def spoil(data: Any) -> None:
        for i in range(6):
            data["site"]["devices"][i]["height_m"] = -1
            data["site"]["devices"][i]["name"] = ""

    lines = refusal(spoil).splitlines()
    assert len(lines) == 1 + 10 + 1
    assert lines[-1] == "  and 2 more"


def test_the_tag_words_are_the_kinds_of_entries() -> None:
    """The path leaves out what pydantic adds for a kind; every kind has to be covered."""
    for kind in RecordKind:
        entry = {"id": "e", "kind": str(kind), "at": "2026-01-01T00:00:00Z", "by": "", "values": 1}
        content = {"format": "pathproof-job", "format_version": 1, "site": {"name": "x"}}
        with pytest.raises(JobError) as caught:
            parse_job(json.dumps({**content, "record": [entry]}), Library())
        message = str(caught.value)
        assert "  record[0] (e).values: given 1; allowed: an object in braces { }" in message
        assert '  record[0] (e).by: given ""' in message


def test_a_site_built_in_python_tells_the_same() -> None:
    with pytest.raises(ValueError, match=r"panel.floor: there is no floor 'g'"):
        Site.model_validate({"name": "x", "panel": {"part": "p", "floor": "g", "at": (0, 0)}})


@pytest.mark.parametrize(
    ("path", "value", "shown"),
    [
        ("site.devices[0].zone", "nix", "site.devices[0] (door).zone: there is no zone"),
        ("site.devices[0].at[0]", 512.5, "site.devices[0] (door).at[0]: given 512.5"),
        (
            "site.walls[0].openings[0].width_m",
            0,
            "site.walls[0] (w_south).openings[0] (o_door).width_m: given 0",
        ),
        ("site.devices[0].part", "nix", "site.devices[0] (door).part: there is no detector"),
        ("record[3].values.due", "ten", 'record[3] (r04).values.due: given "ten"'),
        ("site.networks[0].mcc_mnc", "x", 'site.networks[0].mcc_mnc: given "x"'),
        ("site.devices[0].id", 5, "site.devices[0].id: given 5"),
        ("site.devices[0]", None, "site.devices[0]: given null"),
    ],
)
def test_an_item_is_named_by_its_id(
    sample_data: dict[str, Any], path: str, value: Any, shown: str
) -> None:
    put(sample_data, path, value)
    with pytest.raises(JobError) as caught:
        parse_job(json.dumps(sample_data), Library(), "a.json")
    assert f"  {shown}" in str(caught.value)
