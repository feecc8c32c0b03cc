"""The wheel holds everything the package needs, data files included."""

import subprocess
import sys
import zipfile
from pathlib import Path, PurePosixPath

ROOT = Path(__file__).parent.parent
MADE_BY_PYTHON = {".pyc", ".nbc", ".nbi"}


def test_wheel_ships_every_file_of_the_package(tmp_path: Path) -> None:
    build = [sys.executable, "-m", "hatchling", "build", "--target", "wheel"]
    subprocess.run([*build, "--directory", tmp_path], cwd=ROOT, check=True, capture_output=True)
    (wheel,) = tmp_path.glob("*.whl")
    shipped = {
        PurePosixPath(name)
        for name in zipfile.ZipFile(wheel).namelist()
        if name.startswith("pathproof/")
    }
    package = {
        PurePosixPath(path.relative_to(ROOT / "src"))
        for path in (ROOT / "src" / "pathproof").rglob("*")
        if path.is_file() and path.suffix not in MADE_BY_PYTHON
    }
    assert shipped == package
    for needed in (
        "py.typed",
        "job/data/constructions.toml",
        "web/jobs/migrations/0001_initial.py",
        "web/static/pathproof/sheet.css",
        "web/templates/base.html",
    ):
        assert PurePosixPath("pathproof", needed) in shipped
