"""`pathproof reassess`: work out anew what the app's list shows of its jobs."""

import typer

from pathproof.cli._options import AsJson, command_app
from pathproof.cli._screen import print_json, progress_bar
from pathproof.web.serving.ready import make_ready
from pathproof.web.serving.setup import set_up

app = command_app()


@app.command()
def reassess(as_json: AsJson = False) -> None:
    """Work out jobs of the app whose answer is not of today.

    Once, for a timer of the system. While the app is served it does this by itself.
    """
    set_up()
    make_ready()
    from django.utils import timezone

    from pathproof.web import daily
    from pathproof.web.erasing import tidy

    with progress_bar() as progress:
        count = daily.reassess(timezone.now, progress)
    tidy()
    if as_json:
        print_json({"worked_out": count})
    else:
        typer.echo(f"{count} {'job was' if count == 1 else 'jobs were'} worked out anew.")
