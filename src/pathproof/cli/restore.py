"""`pathproof restore`: a backup put back."""

from pathlib import Path
from typing import Annotated

import typer

from pathproof.cli._options import AsJson, command_app
from pathproof.cli._screen import print_json, progress_bar
from pathproof.web.serving.setup import set_up

app = command_app()


@app.command()
def restore(
    path: Annotated[Path, typer.Argument(metavar="FILE", help="A backup.")],
    replace: Annotated[
        bool,
        typer.Option("--replace", help="Keep what is there aside and put the backup in its place."),
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Put a backup of the app back.

    All of it or nothing, while the app is not served. It goes into an empty data
    folder or database, of SQLite or PostgreSQL, whichever it came from.
    """
    set_up()
    from django.utils import timezone

    from pathproof.web.backup import restore as put_back

    with progress_bar() as progress:
        done = put_back(path, timezone.now(), progress, replace=replace)
    if as_json:
        print_json({"jobs": done.jobs, "made_at": done.made_at, "aside": done.aside})
        return
    typer.echo(f"Jobs back as they were on {done.made_at}: {done.jobs}. People sign in anew.")
    if done.aside is not None:
        typer.echo(f"What was there before is kept in {done.aside}.")
