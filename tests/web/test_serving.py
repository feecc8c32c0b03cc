"""`pathproof serve` as people run it: a real process, a real socket."""

import hashlib
import http.client
import os
import signal
import socket
import sqlite3
import ssl
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path

import pytest

from pathproof.web.serving.lan import lan_addresses
from served import Served


@pytest.fixture(scope="module")
def server(tmp_path_factory):
    """One that runs, with nobody in it yet."""
    served = Served(tmp_path_factory.mktemp("home"))
    served.start()
    yield served
    served.kill()


def get(served, path, **headers):
    connection = http.client.HTTPConnection("127.0.0.1", served.port, timeout=10)
    return _answer(connection, path, headers)


def _answer(connection, path, headers):
    with closing(connection):
        connection.request("GET", path, headers=headers)
        with connection.getresponse() as response:
            response.read()
            return response


def test_it_says_where_it_is(server):
    said = server.log.read_text()
    assert f"http://127.0.0.1:{server.port}/" in said
    assert "no other one reaches it" in said


def test_it_listens_at_this_machine_only(server):
    for address in lan_addresses():
        with pytest.raises(OSError):  # noqa: PT011  (refused, in whichever way)
            socket.create_connection((address, server.port), timeout=2).close()


def test_pages_carry_the_content_policy_and_other_names_are_refused(server):
    page = get(server, "/first-account/")
    assert page.status == 200
    assert "default-src 'none'" in page.headers["Content-Security-Policy"]
    assert get(server, "/", Host="elsewhere.example").status == 400


def test_a_header_makes_nobody_local_or_distant(server):
    assert get(server, "/first-account/", **{"X-Forwarded-For": "203.0.113.9"}).status == 200


def test_a_second_one_on_the_same_data_is_refused(server):
    second = server.command("serve", "--port", str(server.port + 1))
    assert second.returncode == 1
    assert f"in use: served at {server.url}/" in second.stderr
    assert "Traceback" not in second.stderr


def test_a_port_that_is_taken_is_named_with_what_to_do(server, tmp_path):
    second = Served(tmp_path).command("serve", "--port", str(server.port))
    assert second.returncode == 1
    assert f"Port {server.port} is taken" in second.stderr
    assert f"--port {server.port + 1}" in second.stderr


def test_restoring_under_it_is_refused(server, tmp_path):
    written = server.command("backup", str(tmp_path / "backup.zip"))
    assert " kB, jobs: " in written.stdout  # a small one is not "0.0 MB"
    assert written.returncode == 0, written.stderr
    refused = server.command("restore", str(tmp_path / "backup.zip"), "--replace")
    assert refused.returncode == 1
    assert "in use" in refused.stderr


def test_killed_it_leaves_nobody_at_the_port_and_starts_again(tmp_path):
    server = Served(tmp_path)
    server.start()
    os.kill(server.process.pid, signal.SIGKILL)  # the first process alone, as an impatient user
    server.process.wait()
    for _ in range(100):
        with socket.socket() as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                probe.bind(("127.0.0.1", server.port))
            except OSError:
                time.sleep(0.1)
            else:
                break
    server.start()
    assert get(server, "/first-account/").status == 200
    assert server.end() == 0
    assert "Traceback" not in server.log.read_text()


def _daily(server):
    """The process that works jobs out anew; known by its yielding to all others."""
    every = Path("/proc", str(server.process.pid), "task").glob("*/children")
    pids = {int(pid) for path in every for pid in path.read_text().split()}
    return [pid for pid in sorted(pids) if os.getpriority(os.PRIO_PROCESS, pid) == 10]


def _wait_for(what):
    for _ in range(1200):
        found = what()
        if found:
            return found
        time.sleep(0.1)
    raise AssertionError("waited in vain")


@pytest.mark.skipif(sys.platform != "linux", reason="reads /proc")
def test_jobs_are_worked_out_beside_pages_by_a_process_that_is_replaced_when_it_dies(tmp_path):
    server = Served(tmp_path)
    server.start()
    (first,) = _wait_for(lambda: _daily(server))
    os.kill(first, signal.SIGKILL)
    server.fill()
    database = sqlite3.connect(tmp_path / "app" / "pathproof.sqlite3", timeout=20)
    with closing(database), database:
        database.execute("UPDATE jobs_storedjob SET saved_at = '2026-01-01 00:00:00'")
    (second,) = _wait_for(lambda: [pid for pid in _daily(server) if pid != first])
    with closing(sqlite3.connect(tmp_path / "app" / "pathproof.sqlite3", timeout=20)) as database:
        count = "SELECT count(*) FROM jobs_standing"
        _wait_for(lambda: database.execute(count).fetchone() == (2,))
    assert server.end() == 0
    assert not Path(f"/proc/{second}").exists()


@pytest.mark.skipif(not lan_addresses(), reason="this machine is in no network")
def test_lan_serves_tls_and_makes_no_first_account_for_others(tmp_path):
    served = Served(tmp_path, "--lan")
    served.start(answers=False)
    (address, *_) = lan_addresses()
    try:
        certificate = _wait_for_certificate(served, address)
        said = served.log.read_text().replace("\n", "")
        digits = hashlib.sha256(certificate).hexdigest().upper()
        pairs = ":".join(digits[i : i + 2] for i in range(0, 64, 2))
        assert pairs in said
        assert f"https://{address}:{served.port}/" in said
        assert "Everybody in this network" in said
        assert _get_tls(served, address, "/first-account/").status == 302
        claims = {"X-Forwarded-For": "127.0.0.1", "Forwarded": "for=127.0.0.1"}
        assert _get_tls(served, address, "/first-account/", claims).status == 302
        assert _get_tls(served, "127.0.0.1", "/first-account/").status == 200
        assert served.end() == 0
    finally:
        if served.process.poll() is None:
            served.kill()


def _wait_for_certificate(served, address):
    for _ in range(200):
        assert served.process.poll() is None, served.log.read_text()
        try:
            return ssl.PEM_cert_to_DER_cert(
                ssl.get_server_certificate((address, served.port), timeout=5)
            )
        except OSError:
            time.sleep(0.1)
    raise AssertionError(served.log.read_text())


def _get_tls(served, address, path, headers=None):
    """A page over TLS, checked against the certificate that lies in the data folder."""
    context = ssl.create_default_context(cafile=str(served.home / "app" / "lan.crt"))
    connection = http.client.HTTPSConnection(address, served.port, context=context, timeout=20)
    return _answer(connection, path, headers or {})


@pytest.mark.parametrize("tls", ["0", "1"])
def test_nothing_is_left_to_say_for_the_deploy_check(tls, tmp_path):
    done = subprocess.run(
        [sys.executable, "-m", "django", "check", "--deploy", "--fail-level", "INFO"],
        env={**Served(tmp_path).environment, "PATHPROOF_TLS": tls},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert "no issues" in done.stdout


def test_a_database_of_a_newer_version_is_refused(tmp_path):
    served = Served(tmp_path)
    served.python("from pathproof.web.serving.setup import set_up; set_up()\n"
                  "from pathproof.web.serving.ready import make_ready; make_ready()")  # fmt: skip
    with sqlite3.connect(tmp_path / "app" / "pathproof.sqlite3") as database:
        database.execute(
            "INSERT INTO django_migrations (app, name, applied) VALUES ('jobs', '9999_later', '')"
        )
    database.close()
    refused = served.command("serve", "--port", str(served.port))
    assert refused.returncode == 1
    assert "A newer Pathproof has worked with this database (jobs.9999_later)" in refused.stderr


CRASH = """
from pathproof.web.serving.setup import set_up
set_up()
from importlib import import_module
from pathproof.web.serving import ready
from django.core.management import call_command
from django.db import connection
call_command("migrate", "jobs", "0001", verbosity=0)
def crash(apps, editor):
    connection.cursor().execute("CREATE TABLE half_way (x integer)")
    raise OSError("no space left")
second = import_module("pathproof.web.jobs.migrations.0002_only_ever_added")
second.Migration.operations[0].code = crash
try:
    ready.migrate()
except OSError:
    print(sorted(set(connection.introspection.table_names()) & {"half_way", "axes_accesslog"}))
    cursor = connection.cursor()
    cursor.execute("SELECT max(name) FROM django_migrations WHERE app = 'jobs'")
    print(cursor.fetchone()[0])
"""


def test_a_crash_half_way_through_migrating_leaves_the_old_state(tmp_path):
    """Neither the migrations before the one that crashed nor half of that one."""
    assert Served(tmp_path).python(CRASH).split("\n")[:2] == ["[]", "0001_initial"]
