"""A file that cannot be written is told by its own name."""

from pathlib import Path

import pytest

from pathproof.job import write_atomically


def test_the_temporary_file_is_never_named(tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("a file")
    for target in (tmp_path / "nowhere" / "a.pdf", tmp_path / "taken" / "a.pdf", tmp_path):
        with pytest.raises(OSError) as caught:  # noqa: PT011 (the file's name is what counts)
            write_atomically(target, b"x")
        assert caught.value.filename == str(target)
        assert ".tmp" not in str(caught.value)
    assert [p.name for p in tmp_path.iterdir()] == ["taken"]
