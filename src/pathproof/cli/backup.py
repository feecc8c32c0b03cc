"""`pathproof backup`: everything that the app keeps, in one file."""

from pathlib import Path
from typing import Annotated

import typer

from pathproof.cli._options import AsJson, command_app
from pathproof.cli._screen import print_json, progress_bar
from pathproof.web.serving.ready import make_ready
from pathproof.web.serving.setup import set_up

app = command_app()


@app.command()
def backup(
    path: Annotated[Path, typer.Argument(metavar="FILE", help="Where the backup goes.")],
    as_json: AsJson = False,
) -> None:
    """Write everything that the app keeps into one file.

    Jobs, papers and accounts, also while it is served. The file holds where
    detectors hang: keep it as safe as the keys to the premises.
    """
    set_up()
    make_ready()
    from django.utils import timezone

    from pathproof.web.backup import write_backup

    with progress_bar() as progress:
        written = write_backup(path, timezone.now(), progress)
    if as_json:
        print_json({"path": str(path), "size_bytes": written.size_bytes, "jobs": written.jobs})
        return
    typer.echo(f"{path}: {_size(written.size_bytes)}, jobs: {written.jobs}.")
    typer.echo("It holds where detectors hang: keep it as safe as the keys to the premises.")


def _size(count: int) -> str:
    return f"{count / 1e6:.1f} MB" if count >= 100_000 else f"{count / 1e3:.1f} kB"
