"""The server itself: one address, one process that answers, one that keeps lists up to date."""

import multiprocessing
import socket
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from pathproof.terms import ServingError
from pathproof.web import _environment
from pathproof.web.serving.certificate import Certificate, kept_certificate
from pathproof.web.serving.lan import lan_addresses
from pathproof.web.serving.lock import alone
from pathproof.web.serving.ready import make_ready
from pathproof.web.serving.receiving import RECEIVING
from pathproof.web.serving.setup import set_up

PORT: Final = 8470
"""Where nobody names one; assigned to nothing that usually runs on an office machine."""
_EVERYWHERE: Final = "0.0.0.0"
_HERE: Final = "127.0.0.1"


@dataclass(frozen=True, kw_only=True)
class Served:
    """Where the app is, once it is served."""

    urls: list[str]
    """The one to open first; with a certificate the last is that of this machine itself."""
    certificate: Certificate | None = None
    """Where it is served to the network."""


def serve(port: int, *, lan: bool, say: Callable[[Served], None]) -> None:
    """Serve the app until a signal ends it; `say` is told where, once it listens.

    Raises
    ------
    ServingError
        The port is taken, the data folder is in use, there is no network to serve to, or a newer
        version has been here.
    """
    from django.utils import timezone  # only reads settings once they are set up

    folder = _environment.data_folder()
    addresses = _network() if lan else []
    host = socket.gethostname().lower()
    hosts = [*addresses, host, f"{host}.local"] if lan else []
    where = [f"https://{a}:{port}/" for a in [*addresses, "localhost"]]
    if not lan:
        where = [f"http://{_HERE}:{port}/"]
    with alone(folder, f"served at {where[0]}"):
        refuse_taken_port(_EVERYWHERE if lan else _HERE, port)
        set_up(hosts=hosts, tls=lan)
        make_ready()
        certificate = None
        if lan:
            names = [*hosts, "localhost", _HERE]
            certificate = kept_certificate(folder, names, timezone.now())
        _run(port, certificate, lambda: say(Served(urls=where, certificate=certificate)))


def refuse_taken_port(address: str, port: int) -> None:
    """Nothing, where the port is free.

    Raises
    ------
    ServingError
        It is taken, or not for us to take.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((address, port))
        except PermissionError:
            raise ServingError(
                f"Port {port} is kept for the system. Choose one from 1024 up: "
                f"pathproof serve --port {PORT}."
            ) from None
        except OSError:
            raise ServingError(
                f"Port {port} is taken by another program. Stop it, or choose another port: "
                f"pathproof serve --port {port + 1}."
            ) from None


def _network() -> list[str]:
    addresses = lan_addresses()
    if not addresses:
        raise ServingError(
            "This machine is in no network that a phone could reach it by. Join one, or leave "
            "--lan out to use the app on this machine."
        )
    return addresses


def _run(port: int, certificate: Certificate | None, started: Callable[[], None]) -> None:
    from django.db import connections
    from granian import Granian
    from granian.constants import HTTPModes, Interfaces
    from granian.log import LogLevels

    from pathproof.web.daily import kept_up

    connections.close_all()
    multiprocessing.set_start_method("spawn", force=True)  # no threads or connections taken along
    server = Granian(
        "pathproof.web.serving.target:application",
        address=_EVERYWHERE if certificate else _HERE,
        port=port,
        interface=Interfaces.WSGI,
        http=HTTPModes.http1,
        blocking_threads=RECEIVING,
        log_level=LogLevels.error,
        respawn_failed_workers=True,
        workers_kill_timeout=10,
        ssl_cert=certificate.path if certificate else None,
        ssl_key=certificate.key_path if certificate else None,
    )
    server.on_startup(started)
    with kept_up():
        server.serve()
