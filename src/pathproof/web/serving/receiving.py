"""Requests are received whole before they take one of the few places where work is done.

A phone with a bad signal, or somebody who means harm, may take minutes over a form. While it comes
in it holds a thread that does nothing else, of which there are many, and no more of them than a
few for each address. What is too large is refused before any of it is read.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from tempfile import SpooledTemporaryFile
from threading import BoundedSemaphore, Lock
from typing import IO, Any, Final

Environ = dict[str, Any]
Application = Callable[[Environ, Callable[..., Any]], Iterable[bytes]]

WORKING: Final = 8
"""Requests worked on at a time; they share one interpreter, and a few may wait for a plan that is
being read. Measured by the mixed load of benchmarks/bench_app.py for 8 s, twice each, on 2 cores
busy elsewhere: no error, half of the pages within 346 and 62 ms with 2, 201 and 239 ms with 4,
140 and 140 ms with 8. Runs differ more than these numbers, so the load chooses none of them."""
RECEIVING: Final = 32
"""Requests received or worked on at a time; each is a thread."""
MOST_OF_ONE: Final = 8
"""Requests of one address with something to receive; a phone sends two or three at a time."""
LARGEST_BYTES: Final = 151_000_000
"""Plans of the largest size that is read, and the form around them."""
LARGEST_BYTES_UNKNOWN: Final = 64_000
"""From a browser that is not signed in: forms to sign in with."""
_IN_MEMORY_BYTES: Final = 1_000_000
_PIECE_BYTES: Final = 65_536


class Received:
    """An application that sees a request only once all of it is there."""

    def __init__(self, application: Application, signed_in: Callable[[str], bool]) -> None:
        """`signed_in` says of a request's cookies whether somebody with an account sends them."""
        self._application = application
        self._signed_in = signed_in
        self._places = BoundedSemaphore(WORKING)
        self._lock = Lock()
        self._of_address: Counter[str] = Counter()

    def __call__(self, environ: Environ, start_response: Callable[..., Any]) -> Iterable[bytes]:
        refusal = self._refusal(environ)
        if refusal is not None:
            return _refused(start_response, *refusal)
        length = _length(environ)
        if not length:
            return self._work(environ, start_response)
        with self._receiver(environ.get("REMOTE_ADDR", "")) as allowed:
            if not allowed:
                return _refused(
                    start_response,
                    "503 Service Unavailable",
                    "This device already sends as much as one may at a time. Wait for that, then "
                    "send it again.",
                )
            body = _body(environ["wsgi.input"], length)
        with body:
            if body.tell() < length:
                return _refused(
                    start_response,
                    "400 Bad Request",
                    "The request ended too early, so nothing was saved. Send it again.",
                )
            body.seek(0)
            return self._work({**environ, "wsgi.input": body}, start_response)

    def _work(self, environ: Environ, start_response: Callable[..., Any]) -> list[bytes]:
        with self._places:
            answer = self._application(environ, start_response)
            try:
                return [*answer]
            finally:
                close = getattr(answer, "close", None)
                if close is not None:
                    close()

    def _refusal(self, environ: Environ) -> tuple[str, str] | None:
        if environ.get("HTTP_TRANSFER_ENCODING"):
            return "411 Length Required", "Say how long the request is, in Content-Length."
        length = _length(environ)
        if length > LARGEST_BYTES:
            return (
                "413 Content Too Large",
                f"That is {length / 1e6:.0f} MB; allowed are 150 MB at a time. Nothing was saved. "
                "Go back and send a smaller file.",
            )
        if length > LARGEST_BYTES_UNKNOWN and not self._signed_in(environ.get("HTTP_COOKIE", "")):
            return (
                "413 Content Too Large",
                "Only who is signed in may send that much. Nothing was saved. Sign in, then send "
                "it again.",
            )
        return None

    @contextmanager
    def _receiver(self, address: str) -> Iterator[bool]:
        with self._lock:
            allowed = self._of_address[address] < MOST_OF_ONE
            self._of_address[address] += allowed
        try:
            yield allowed
        finally:
            with self._lock:
                self._of_address[address] -= allowed
                if not self._of_address[address]:
                    del self._of_address[address]


def _length(environ: Environ) -> int:
    """Bytes that follow; none where the header is no number, as then none are read."""
    given = str(environ.get("CONTENT_LENGTH") or "")
    return int(given) if given.isascii() and given.isdigit() and len(given) < 16 else 0


def _body(source: IO[bytes], length: int) -> SpooledTemporaryFile[bytes]:
    body = SpooledTemporaryFile[bytes](max_size=_IN_MEMORY_BYTES)
    left = length
    while left > 0 and (piece := source.read(min(left, _PIECE_BYTES))):
        body.write(piece)
        left -= len(piece)
    return body


def _refused(start_response: Callable[..., Any], status: str, sentence: str) -> list[bytes]:
    page = (
        '<!doctype html><html lang="en"><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>Pathproof</title><h1>That was not taken</h1><p>{sentence}</p>"
        '<p><a href="/">Jobs</a></p></html>'
    ).encode()
    start_response(
        status,
        [
            ("Content-Type", "text/html; charset=utf-8"),
            ("Content-Length", str(len(page))),
            ("Content-Security-Policy", "default-src 'none'; frame-ancestors 'none'"),
            ("Cache-Control", "no-store"),
            ("Connection", "close"),
        ],
    )
    return [page]
