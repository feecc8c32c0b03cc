"""The app as served: page sizes, warm times, and 30 mixed requests a second without an error.

Every time is given beside that of the smallest page of the same run, so that figures of different
machines can be compared by their ratios.
"""

import re
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from http.client import HTTPConnection
from pathlib import Path
from urllib.parse import urlencode

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

from served import Served

LARGEST_KB = 300
SLOWEST_MS = 150
RUNS = 7
RATE_PER_S = 30
FOR_S = 20
HANDS = 8
PAGES = {
    "sign-in": "/sign-in/",
    "list": "/",
    "signals": "/jobs/{job}/",
    "survey": "/jobs/{job}/survey/",
    "specify": "/jobs/{job}/specify/",
    "prepare": "/jobs/{job}/prepare/",
    "hand over": "/jobs/{job}/papers/",
    "history": "/jobs/{job}/history/",
}


class Browser:
    """One connection that keeps its cookies."""

    def __init__(self, port: int) -> None:
        self.connection = HTTPConnection("127.0.0.1", port, timeout=30)
        self.cookies: dict[str, str] = {}

    def ask(self, method: str, path: str, **fields: str) -> tuple[int, bytes]:
        """Status and content of an answer."""
        headers = {"Cookie": "; ".join(f"{k}={v}" for k, v in self.cookies.items())}
        body = urlencode(fields) if fields else None
        if body is not None:
            headers["Content-Type"] = "application/x-www-form-urlencoded"
        self.connection.request(method, path, body, headers)
        answer = self.connection.getresponse()
        for cookie in answer.headers.get_all("Set-Cookie", []):
            name, _, value = cookie.split(";")[0].partition("=")
            self.cookies[name] = value
        return answer.status, answer.read()

    def sign_in(self) -> None:
        """Sign in as the office."""
        _, form = self.ask("GET", "/sign-in/")
        found = re.search(rb'name="csrfmiddlewaretoken" value="([^"]+)"', form)
        assert found is not None
        status, _ = self.ask(
            "POST", "/sign-in/", csrfmiddlewaretoken=found[1].decode(), username="office",
            password="long enough pw",
        )  # fmt: skip
        assert status == 302, status


@contextmanager
def served(folder: Path) -> Iterator[tuple[Served, str]]:
    """A server with the demo's job; gives the job's id with it."""
    server = Served(folder)
    server.start()
    try:
        job, _ = server.fill()
        yield server, job
    finally:
        server.end()


def warm_ms(browser: Browser, path: str) -> tuple[float, float]:
    """Shortest time of some runs, and the page's size. [ms], [kB]"""
    for _ in range(60):  # the first time a job is worked out
        if browser.ask("GET", path)[0] != 202:
            break
        time.sleep(0.5)
    times, size = [], 0
    for _ in range(RUNS):
        start = time.perf_counter()
        status, content = browser.ask("GET", path)
        times.append(time.perf_counter() - start)
        assert status == 200, f"{path}: {status}"
        size = len(content)
    return min(times) * 1e3, size / 1e3


def load(port: int, paths: list[str]) -> list[tuple[int, float]]:
    """Status and time of every request of a mixed load at a steady rate."""
    answers: list[tuple[int, float]] = []
    start = time.perf_counter()

    def hand(number: int) -> None:
        browser = Browser(port)
        browser.sign_in()
        for turn in range(number, RATE_PER_S * FOR_S, HANDS):
            time.sleep(max(0.0, start + 2 + turn / RATE_PER_S - time.perf_counter()))
            asked = time.perf_counter()
            status, _ = browser.ask("GET", paths[turn % len(paths)])
            answers.append((status, time.perf_counter() - asked))
        browser.connection.close()

    threads = [threading.Thread(target=hand, args=(n,)) for n in range(HANDS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return answers


def main() -> None:
    """Print a table of pages, then what became of the load."""
    with tempfile.TemporaryDirectory() as folder, served(Path(folder)) as (server, job):
        browser = Browser(server.port)
        paths = {name: path.format(job=job) for name, path in PAGES.items()}
        smallest, _ = warm_ms(browser, paths.pop("sign-in"))
        browser.sign_in()
        print(f"sign-in    {smallest:6.1f} ms")
        for name, path in paths.items():
            took, size = warm_ms(browser, path)
            over = " OVER TARGET" if took > SLOWEST_MS or size > LARGEST_KB else ""
            print(f"{name:10} {took:6.1f} ms  {took / smallest:5.1f} times  {size:6.1f} kB{over}")
        print(f"targets    {SLOWEST_MS:6.1f} ms  {LARGEST_KB:21.1f} kB")
        answers = load(server.port, list(paths.values()))
        errors = sum(status != 200 for status, _ in answers)
        slow = sorted(took for _, took in answers)
        print(
            f"load       {len(answers)} requests, {RATE_PER_S} a second: {errors} errors, "
            f"half within {slow[len(slow) // 2] * 1e3:.0f} ms, "
            f"95 of 100 within {slow[len(slow) * 95 // 100] * 1e3:.0f} ms"
        )


if __name__ == "__main__":
    main()
