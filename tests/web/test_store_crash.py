"""A process that is killed in the middle of a save leaves the last revision whole."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

import pathproof


@pytest.mark.skipif(not hasattr(os, "fork"), reason="kills processes as POSIX systems do")
def test_a_killed_save_leaves_the_last_revision_whole(tmp_path):
    """With the real settings, on a file of its own."""
    environment = {k: v for k, v in os.environ.items() if not k.startswith("PATHPROOF_")}
    done = subprocess.run(
        [sys.executable, "-W", "error", Path(__file__).with_name("killed_saver.py")],
        env={
            **environment,
            "PATHPROOF_HOME": str(tmp_path),
            "DJANGO_SETTINGS_MODULE": "pathproof.web.settings",
            "PYTHONPATH": str(Path(pathproof.__file__).parents[1]),
        },
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    revisions, killed = map(
        int, re.fullmatch(r"(\d+) revisions, (\d+) killed\n", done.stdout).groups()
    )
    assert killed >= 10
    assert revisions > killed
