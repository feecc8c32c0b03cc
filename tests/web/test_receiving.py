"""Requests are received whole before they are worked on, within bounds: over a real socket."""

import socket
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import ExitStack

import pytest

from pathproof.web.serving.receiving import LARGEST_BYTES, LARGEST_BYTES_UNKNOWN, MOST_OF_ONE
from served import Served

SIGN_IN = """
import django
django.setup()
from django.contrib.auth import SESSION_KEY
from django.contrib.sessions.backends.db import SessionStore
session = SessionStore()
session[SESSION_KEY] = "1"
session.create()
print(session.session_key)
"""


@pytest.fixture(scope="module")
def server(tmp_path_factory) -> Iterator[Served]:
    served = Served(tmp_path_factory.mktemp("receiving"))
    served.start()
    yield served
    served.kill()


def sender(server: Served, length: object, *, more: str = "", body: bytes = b"") -> socket.socket:
    """A request that says it is so long, and as much of it as there is."""
    connection = socket.create_connection(("127.0.0.1", server.port), timeout=10)
    head = f"POST /sign-in/ HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\n{more}"
    said = "" if length is None else f"Content-Length: {length}\r\n"
    connection.sendall(f"{head}{said}\r\n".encode() + body)
    return connection


def status(connection: socket.socket) -> int:
    return int(connection.recv(4096).split()[1])


def test_slow_senders_keep_nobody_else_waiting(server):
    with ExitStack() as slow:
        for _ in range(MOST_OF_ONE):
            slow.enter_context(sender(server, 1000, body=b"x"))
        with urllib.request.urlopen(f"{server.url}/sign-in/", timeout=10) as page:
            assert page.status == 200


def test_one_address_sends_only_so_much_at_a_time(server):
    with ExitStack() as slow:
        connections = [
            slow.enter_context(sender(server, 1000, body=b"x")) for _ in range(MOST_OF_ONE + 1)
        ]
        connections[-1].sendall(b"x")
        refused = [c for c in connections if _answered(c)]
        assert [status(c) for c in refused] == [503]


def _answered(connection: socket.socket) -> bool:
    connection.settimeout(1)
    try:
        return bool(connection.recv(1, socket.MSG_PEEK))
    except TimeoutError:
        return False


@pytest.mark.parametrize(
    ("length", "cookies"),
    [
        (LARGEST_BYTES_UNKNOWN + 1, ""),
        (LARGEST_BYTES_UNKNOWN + 1, "Cookie: sessionid=invented\r\n"),
        (LARGEST_BYTES + 1, ""),
    ],
)
def test_what_is_too_large_is_refused_before_it_is_sent(server, length, cookies):
    with sender(server, length, more=cookies) as connection:
        assert status(connection) == 413


def test_who_is_signed_in_may_send_more(server):
    key = server.python(SIGN_IN).strip()
    body = b"x" * (LARGEST_BYTES_UNKNOWN + 1)
    with sender(server, len(body), more=f"Cookie: sessionid={key}\r\n", body=body) as connection:
        assert status(connection) == 403  # without the page's token


def test_a_request_that_does_not_say_how_long_it_is_is_refused(server):
    with sender(server, None, more="Transfer-Encoding: chunked\r\n") as connection:
        connection.sendall(b"5\r\nhello\r\n0\r\n\r\n")
        assert status(connection) == 411


def test_a_form_comes_through_whole(server):
    request = urllib.request.Request(f"{server.url}/sign-in/", b"username=a&password=b")
    with pytest.raises(urllib.error.HTTPError) as caught:
        urllib.request.urlopen(request, timeout=10)
    with caught.value as refused:
        assert refused.code == 403  # without the page's token
