"""`pathproof serve`: the app, on this machine or for the local network."""

import sys
from typing import Annotated

import typer

from pathproof.cli._options import AsciiOnly, command_app
from pathproof.cli._screen import Screen
from pathproof.web.serving.certificate import Certificate
from pathproof.web.serving.running import PORT, Served, serve

app = command_app()


@app.command(name="serve")
def serve_command(
    port: Annotated[
        int, typer.Option("--port", min=1, max=65535, help="TCP port to listen at.")
    ] = PORT,
    lan: Annotated[
        bool,
        typer.Option("--lan", help="Serve phones in the local network too, with TLS."),
    ] = False,
    ascii_only: AsciiOnly = False,
) -> None:
    """Serve the app in the browser until Ctrl-C, on this machine only.

    With --lan phones in the local network reach it too.
    """
    screen = Screen(ascii_only=ascii_only)
    serve(port, lan=lan, say=lambda served: _say(screen, served))


def _say(screen: Screen, served: Served) -> None:
    screen.line("Pathproof is served at ", (served.urls[0], "bold"))
    if served.certificate is None:
        screen.paragraph("Open it in a browser on this machine; no other one reaches it.")
    else:
        for url in served.urls[1:-1]:
            screen.line(f"and at {url}")
        screen.line(f"On this machine: {served.urls[-1]}")
        _say_how_phones_get_in(screen, served.urls[0], served.certificate)
    screen.paragraph("Ctrl-C ends it. Nothing that was saved is lost.")
    sys.stdout.flush()  # a log file shows the address at once


def _say_how_phones_get_in(screen: Screen, url: str, certificate: Certificate) -> None:
    screen.line()
    for row in qr_rows(url, ascii_only=screen.ascii):
        screen.line((row, "bright_white on black"))
    screen.points(
        "On the phone",
        [
            "Join the same network and scan the code, or type the address.",
            "The phone will say that the connection is not private, since it does not know the "
            "certificate: Pathproof made it itself. Ask the phone to show the certificate and "
            "compare its SHA-256 fingerprint with the one below. Go on only where they are the "
            "same; otherwise somebody may be in between, so stop there.",
            "Everybody in this network can reach the sign-in page. Use a network whose members "
            "you know, and stop the server when you are done. The first account can only be made "
            "on this machine.",
        ],
    )
    screen.heading("Fingerprint of the certificate (SHA-256)")
    pairs = certificate.fingerprint
    screen.line(pairs[:48])
    screen.line(pairs[48:])
    screen.line(f"It is renewed before it ends on {certificate.ends:%Y-%m-%d}.")
    screen.line()


def qr_rows(text: str, *, ascii_only: bool) -> list[str]:
    """A QR code as lines of text, with its light border: light modules drawn, dark ones empty.

    Shown white on black it is right on every terminal. One without colours and with a light ground
    shows it in reverse.
    """
    import segno

    rows = [list(row) for row in segno.make(text, error="m").matrix_iter(border=4)]
    if ascii_only:
        return ["".join("  " if dark else "##" for dark in row) for row in rows]
    rows += [[0] * len(rows[0])] * (len(rows) % 2)
    blocks = {(0, 0): "█", (0, 1): "▀", (1, 0): "▄", (1, 1): " "}
    return [
        "".join(blocks[bool(above), bool(below)] for above, below in zip(*pair, strict=True))
        for pair in zip(rows[::2], rows[1::2], strict=True)
    ]
