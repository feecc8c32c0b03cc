"""A real server for tests: `pathproof serve` in a process of its own, on data of its own."""

import os
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path
from urllib.error import URLError

FILL = """
import sys
import django
django.setup()
from pathproof.job import Job
from pathproof.simulate import build_demo
from pathproof.web.jobs import store
from pathproof.web.people.models import Person, Role
office = Person.objects.create_user("office", "Olga Office", Role.OFFICE, "long enough pw")
Person.objects.create_user("tech", "Tom Technician", Role.TECHNICIAN, "long enough pw")
demo = store.add_job(build_demo(), by=office, what="imported")
plain = store.add_job(Job.model_validate({"site": {"name": "Plain site"}}), by=office, what="made")
print(demo.pk, plain.pk)
"""


def free_port() -> int:
    """A port of this machine that nobody listens at."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


class Served:
    """`pathproof serve`, that can be ended, killed and started again on the same data."""

    def __init__(self, folder: Path, *options: str) -> None:
        self.home = folder
        self.options = options
        self.port = free_port()
        self.url = f"http://127.0.0.1:{self.port}"
        self.log = folder / "server.log"
        self.process: subprocess.Popen[bytes] | None = None

    @property
    def environment(self) -> dict[str, str]:
        """That of all commands on this data; always SQLite, for it starts empty."""
        kept = {k: v for k, v in os.environ.items() if k != "PATHPROOF_DATABASE"}
        return {
            **kept,
            "PATHPROOF_HOME": str(self.home),
            "DJANGO_SETTINGS_MODULE": "pathproof.web.settings",
        }

    def command(self, *arguments: str, **variables: str) -> subprocess.CompletedProcess[str]:
        """What a command of Pathproof said."""
        return subprocess.run(
            [sys.executable, "-m", "pathproof", *arguments],
            env={**self.environment, **variables},
            capture_output=True,
            text=True,
            timeout=60,
            check=False,
        )

    def python(self, program: str, **variables: str) -> str:
        """What a Python program printed that works on this data."""
        done = subprocess.run(
            [sys.executable, "-c", program],
            env={**self.environment, **variables},
            capture_output=True,
            text=True,
            timeout=60,
            check=False,
        )
        assert done.returncode == 0, done.stderr
        return done.stdout

    def fill(self) -> list[str]:
        """Put in an office, a technician, the demo's job and an empty one; gives the jobs' ids."""
        return self.python(FILL).split()

    def start(self, *, answers: bool = True) -> None:
        """Start it, and wait until it answers."""
        with self.log.open("ab") as log:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "pathproof", "serve", "--port", str(self.port),
                 *self.options],
                env=self.environment, stdout=log, stderr=log, start_new_session=True,
            )  # fmt: skip
        if answers:
            self.wait_until_it_answers()

    def wait_until_it_answers(self) -> None:
        assert self.process is not None
        for _ in range(300):
            assert self.process.poll() is None, self.log.read_text()
            try:
                with urllib.request.urlopen(f"{self.url}/sign-in/", timeout=10):
                    return
            except (URLError, ConnectionError):
                time.sleep(0.1)
        raise AssertionError(f"it does not answer: {self.log.read_text()}")

    def end(self) -> int:
        """End it as Ctrl-C does; gives its exit code."""
        assert self.process is not None
        self.process.send_signal(signal.SIGINT)
        return self.process.wait(timeout=30)

    def kill(self) -> None:
        """Kill it with no time to say goodbye, with all that it started."""
        assert self.process is not None
        os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait(timeout=30)
