"""The group of commands: what loads when, exit codes, and errors as sentences."""

import errno
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

import pathproof
from pathproof import __version__
from pathproof.cli._app import COMMANDS, explain_os_error

ROOT = str(Path(pathproof.__path__[0]).resolve().parent)
"""Where this pathproof lies, also for processes that run in another folder."""

HEAVY = ("numba", "numpy", "pydantic", "ifcopenshell", "typst", "rich", "pathproof.job")


@pytest.fixture(autouse=True)
def _same_pathproof(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PYTHONPATH", ROOT)


def python(code: str, **environment: str) -> subprocess.CompletedProcess[str]:
    surroundings = {**os.environ, **environment}
    return subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, env=surroundings, check=False
    )


def loaded_by(*args: str) -> list[str]:
    """Heavy modules that a command loads, in a process of its own."""
    code = f"""
import sys
from pathproof.cli import main
sys.argv = ["pathproof", *{args!r}]
try:
    main()
except SystemExit:
    pass
print(file=sys.stderr)
print(*[m for m in {HEAVY!r} if m in sys.modules], sep=",", file=sys.stderr)
"""
    return [m for m in python(code).stderr.splitlines()[-1].split(",") if m]


@pytest.mark.parametrize("args", [("--help",), ("--version",), ()])
def test_help_and_version_load_nothing_heavy(args: tuple[str, ...]) -> None:
    assert loaded_by(*args) == []


def test_wall_loads_no_kernel_no_models_of_ours_and_no_plan_reader() -> None:
    loaded = loaded_by("wall", "--layers", "brick:0.1", "--frequency-hz", "868e6", "--json")
    # the option parser itself uses pydantic, and rich comes with the screen
    assert set(loaded) <= {"numpy", "pydantic", "rich"}


def test_every_command_says_in_the_list_what_its_own_help_says(run: Any) -> None:
    listing = " ".join(run("--help").stdout.split())
    for name, (_, line) in COMMANDS.items():
        assert line in listing
        assert line in " ".join(run(name, "--help").stdout.split())


def test_version(run: Any) -> None:
    assert run("--version").stdout == f"pathproof {__version__}\n"


def test_a_wrong_command_names_the_nearest_one(run: Any) -> None:
    assert "Did you mean assess?" in run("asess", code=2).stderr
    assert "There are: import, underlay, " in run("zzz", code=2).stderr


def test_an_option_that_does_not_exist_is_wrong_use(run: Any, job_path: Path) -> None:
    assert "--jsom" in run("assess", job_path, "--jsom", code=2).stderr


def test_a_folder_in_place_of_a_file(run: Any, tmp_path: Path) -> None:
    error = run("assess", tmp_path, code=1).stderr
    assert str(tmp_path) in error
    assert "Is a directory" in error


def test_a_file_that_is_not_there(run: Any) -> None:
    assert "nowhere.json cannot be read" in run("assess", "nowhere.json", code=1).stderr


def test_a_home_that_is_not_there(
    run: Any, job_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATHPROOF_HOME", "/nowhere/at/all")
    assert "PATHPROOF_HOME names" in run("assess", job_path, code=1).stderr


def test_parts_of_ones_own_are_found_at_home(run: Any, job_path: Path, tmp_path: Path) -> None:
    (tmp_path / "own-library" / "constructions_own.toml").write_text(
        '[barn_boards]\nname = "Barn boards"\n'
        'layers = [{ material = "wood", thickness_m = 0.03 }]\n'
        'source = { ref = "Measured with a rule", evidence = "practice" }\n',
        "utf-8",
    )
    shown = run("wall", "--construction", "barn_boards", "--frequency-hz", "868e6").stdout
    assert "Barn boards" in shown
    assert "wood 30 mm" in shown


def test_a_library_file_that_cannot_be_used(run: Any, job_path: Path, tmp_path: Path) -> None:
    (tmp_path / "own-library" / "catalogue_own.toml").write_text("[[part]\n", "utf-8")
    assert "catalogue_own.toml" in run("assess", job_path, code=1).stderr


def test_a_system_error_becomes_a_sentence() -> None:
    full = OSError(errno.ENOSPC, "No space left on device", "/data/job.json")
    assert explain_os_error(full).startswith("/data/job.json: No space left on device.")


def test_output_to_a_full_disk_is_told() -> None:
    code = "import sys; sys.argv = ['pathproof', 'schema']; from pathproof.cli import main; main()"
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [sys.executable, "-c", code],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert done.returncode == 1
    assert "No space left on device" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_reader_that_went_away_is_no_error_worth_a_word() -> None:
    code = "import sys; sys.argv = ['pathproof', 'schema']; from pathproof.cli import main; main()"
    process = subprocess.Popen(
        [sys.executable, "-c", code], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    assert process.stdout is not None
    assert process.stderr is not None
    process.stdout.close()
    with process.stderr as errors:
        assert errors.read() == ""
    process.wait()


def test_output_that_was_closed_before_we_began() -> None:
    code = "import sys; sys.argv = ['pathproof', 'schema']; from pathproof.cli import main; main()"
    command = 'exec "$0" -c "$1" >&-'
    done = subprocess.run(
        ["/bin/sh", "-c", command, sys.executable, code],
        capture_output=True,
        text=True,
        check=False,
    )
    assert "Traceback" not in done.stderr


def test_names_cannot_give_orders_to_the_terminal(run: Any, empty_job: Path, edit: Any) -> None:
    edit(empty_job, lambda data: data["site"].update(name="Bare\x1b]0;gone\x07 \u202esite"))
    shown = run("assess", empty_job, code=4).stdout
    assert shown.startswith("undecided  Bare]0;gone site")
    assert "\x1b" not in run("assess", "no\x1b[2Jwhere", code=1).stderr


def test_control_c_ends_quietly_with_130() -> None:
    code = """
import sys
import pathproof.cli._app as cli

def interrupted(self, ctx, name):
    raise KeyboardInterrupt

cli.LazyGroup.get_command = interrupted
sys.argv = ["pathproof", "wall"]
cli.main()
"""
    done = python(code)
    assert done.returncode == 130
    assert done.stderr.strip() == ""


def test_kernels_are_kept_in_the_users_cache_folder(tmp_path: Path) -> None:
    code = """
import os, sys
from pathproof.cli import main
sys.argv = ["pathproof", "--version"]
try:
    main()
except SystemExit:
    print(os.environ["NUMBA_CACHE_DIR"])
"""
    surroundings = {k: v for k, v in os.environ.items() if k != "NUMBA_CACHE_DIR"}
    surroundings["XDG_CACHE_HOME"] = str(tmp_path)
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, env=surroundings, check=True
    )
    assert done.stdout.splitlines()[-1] == str(tmp_path / "pathproof" / "kernels")


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "utf-8"])
def test_any_terminal_can_show_the_answer(encoding: str) -> None:
    code = (
        "import sys; sys.argv = ['pathproof', 'wall', '--layers', 'brick:0.1', '--frequency-hz',"
        " '868e6', '--angle-deg', '80']; from pathproof.cli import main; main()"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        env={**os.environ, "PYTHONIOENCODING": encoding},
        check=True,
    )
    shown = done.stdout.decode(encoding)
    assert ("deg from straight through" in shown) == (encoding != "utf-8")
    assert "?" not in shown
