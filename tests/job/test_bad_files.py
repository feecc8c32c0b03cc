"""What is not a job file gets one clear sentence and never a traceback."""

import json
from pathlib import Path
from typing import Any

import pytest

from pathproof.job import Library, parse_job, read_job
from pathproof.job.file import MAX_BYTES
from pathproof.terms import JobError, NewerFormatError

BARE = '{"format": "pathproof-job", "format_version": 1, "site": {"name": "x", "profile": "p"}'
PROFILE = '"embedded": {"profile": {"id": "p", "title": "t", "text": ""}}}'


def refused(content: str | bytes) -> str:
    with pytest.raises(JobError) as caught:
        parse_job(content, Library(), "a.json")
    message = str(caught.value)
    assert message.startswith("a.json ")
    assert "Traceback" not in message
    return message


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"", "a.json is empty, so it is not a job file."),
        (b" \n\t", "a.json is empty, so it is not a job file."),
        (b"\xef\xbb\xbf", "a.json is empty, so it is not a job file."),
        (b"ISO-10303-21;\nHEADER;", "a.json is not JSON: Expecting value in line 1, column 1."),
        (b'{"format": }', "a.json is not JSON: Expecting value in line 1, column 12."),
        (
            b'{"format": "pathproof-job",\n "site": {"name": ',
            "a.json is not JSON: it ends too early, in line 2; is it cut short?",
        ),
        (
            b'{"format": "pathproof-jo',
            "a.json is not JSON: it ends too early, in line 1; is it cut short?",
        ),
        (b"[1, 2]", "a.json is not a job file: it does not hold a JSON object in braces { }."),
        (b"null", "a.json is not a job file: it does not hold a JSON object in braces { }."),
        (b'"text"', "a.json is not a job file: it does not hold a JSON object in braces { }."),
        (b"{}", 'a.json is not a job file: it has no "format": "pathproof-job".'),
        (
            b'{"format": "geojson"}',
            'a.json is not a job file: it has no "format": "pathproof-job".',
        ),
        (b"[" * 200_000, "a.json is nested too deeply to be a job file."),
        (b'{"a":' * 200_000, "a.json is nested too deeply to be a job file."),
    ],
)
def test_not_a_job_file(content: bytes, sentence: str) -> None:
    assert refused(content) == sentence


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-32", "latin-1"])
def test_other_encodings_are_named_as_such(encoding: str) -> None:
    message = refused('{"format": "pathproof-job", "site": {"name": "Müller"}}'.encode(encoding))
    assert "not text in UTF-8" in message or "not JSON" in message


def test_utf_8_with_byte_order_mark_is_read(sample_path: Path) -> None:
    plain = sample_path.read_bytes()
    assert parse_job(b"\xef\xbb\xbf" + plain, Library()) == parse_job(plain, Library())
    assert parse_job("\ufeff" + plain.decode(), Library()) == parse_job(plain, Library())


def test_every_cut_of_a_file_is_refused(sample_path: Path) -> None:
    whole = sample_path.read_bytes().rstrip()
    for length in range(0, len(whole), 97):
        refused(whole[:length])


@pytest.mark.parametrize("number", ["NaN", "Infinity", "-Infinity", "1e999", "-1e999"])
def test_numbers_that_are_not_finite(number: str) -> None:
    message = refused(BARE.replace('"p"}', f'"p", "service_life_years": {number}}},') + PROFILE)
    shown = {"1e999": "Infinity", "-1e999": "-Infinity"}.get(number, number)
    assert message.splitlines()[1:] == [
        f"  site.service_life_years: given {shown}; allowed: a finite number"
    ]


def test_a_whole_number_of_thousands_of_digits() -> None:
    assert "digits" in refused(BARE + ', "revision": ' + "9" * 5000 + "}")


@pytest.mark.parametrize(
    ("content", "path"),
    [
        ('{"format": "pathproof-job", "format": "pathproof-job"}', "format"),
        (BARE + ', "site": {"name": "y"}}', "site"),
        (BARE.replace('"x",', '"x", "name": "y",') + "}", "site.name"),
        (BARE + ', "record": [{"id": "a"}, {"by": "A", "by": "A"}]}', "record[1].by"),
        (BARE + ', "embedded": {"catalogue": {"a": {}, "a": {}}}}', "embedded.catalogue.a"),
    ],
)
def test_a_name_given_twice(content: str, path: str) -> None:
    assert refused(content) == (
        f"a.json cannot be used:\n  {path}: is given twice; keep one of them"
    )


def test_a_strange_name_given_twice() -> None:
    message = refused(BARE + ', "\\u001b' + "x" * 500 + '": 1, "\\u001b' + "x" * 500 + '": 2}')
    assert message.splitlines()[1].startswith(r"  \x1bxxxx")
    assert len(message) < 160


@pytest.mark.parametrize("version", [2, 3, 99, 10**30, 1.5, 2.0])
def test_newer_is_refused_by_name_even_if_nothing_else_is_right(version: float) -> None:
    content = json.dumps({"format": "pathproof-job", "format_version": version, "sites": [1]})
    with pytest.raises(NewerFormatError) as caught:
        parse_job(content, Library(), "a.json")
    assert str(caught.value) == (
        f"a.json has format version {version} and was written by a newer Pathproof; this one reads "
        "version 1. Update Pathproof, then open it again."
    )


@pytest.mark.parametrize("version", [0, -1, 1.0, 0.5, True, False, "1", "2", None, [1], {"a": 1}])
def test_versions_that_never_were(version: Any) -> None:
    content = json.dumps({"format": "pathproof-job", "format_version": version, "sites": [1]})
    message = refused(content)
    assert message == (
        f"a.json cannot be used:\n  format_version: given {json.dumps(version)}; allowed: 1"
    )


def test_a_file_says_its_version() -> None:
    message = refused('{"format": "pathproof-job", "site": {"name": "x"}}')
    assert message.endswith("format_version: given nothing; allowed: 1")


def test_a_name_that_is_no_text() -> None:
    message = refused(BARE.replace('"x"', '"\\ud800"') + "}")
    assert "Invalid JSON" in message


def test_missing_file_and_folder(tmp_path: Path) -> None:
    with pytest.raises(JobError, match=r"nothing\.json cannot be read: No such file"):
        read_job(tmp_path / "nothing.json")
    with pytest.raises(JobError, match="cannot be read: Is a directory"):
        read_job(tmp_path)


def test_a_file_far_too_large_is_not_read(tmp_path: Path) -> None:
    path = tmp_path / "large.json"
    with path.open("wb") as file:
        file.truncate(MAX_BYTES + 6 * 2**20)
    with pytest.raises(JobError) as caught:
        read_job(path)
    assert str(caught.value) == (
        f"{path} has more than 64 MB, the most a job file has. Is it a plan? Use: pathproof import."
    )


def test_written_by_hand_without_hash_or_embedded_entries() -> None:
    job = parse_job(BARE + ", " + PROFILE, Library())
    assert job.hash is None
    assert not job.changed_outside


@pytest.mark.parametrize("field", ["name", "reference"])
def test_a_character_of_code_zero_is_refused_where_it_stands(field):
    """PostgreSQL stores no text with it (its manual on character types, from memory)."""
    site = {"name": "x", "profile": "p", field: "a\0b"}
    text = json.dumps({"format": "pathproof-job", "format_version": 1, "site": site})
    assert f"site.{field}: " in (said := refused(text))
    assert "without the character of code zero" in said
