"""`pathproof profile`: the sets of requirements, and a person's word for a limit."""

from typing import Annotated

import typer

from pathproof.assess.limit_words import (
    count_text,
    figure_text,
    other_value_text,
    source_text,
    waits_for_nothing,
)
from pathproof.cli._jobs import open_job
from pathproof.cli._messages import complain
from pathproof.cli._options import AsJson, By, JobPath, as_number, command_app, wrong_use
from pathproof.cli._record import save_entries, when
from pathproof.cli._screen import Screen, print_json
from pathproof.job import Limit, Profile
from pathproof.job.adding import Draft
from pathproof.job.home import user_library
from pathproof.terms import RecordKind

app = command_app(help="Show the sets of requirements, and confirm limits.", no_args_is_help=True)


@app.command("list")
def list_profiles(as_json: AsJson = False) -> None:
    """Show the profiles there are."""
    known = user_library()
    profiles = [known.profile(i) for i in sorted(known.profiles)]
    if as_json:
        print_json(
            [
                {
                    "id": p.id,
                    "title": p.title,
                    "text": p.text,
                    "limits": len(p.limits),
                    "unconfirmed": [str(n) for n, x in p.limits.items() if not x.usable],
                }
                for p in profiles
            ]
        )
        return
    screen = Screen()
    for number, profile in enumerate(profiles):
        if number:
            screen.line()
        screen.paragraph((profile.id, "bold"), f"  {profile.title}")
        screen.paragraph(" ".join(profile.text.split()), first="  ")
        screen.paragraph(count_text(profile), first="  ")


@app.command("show")
def show_profile(
    profile_id: Annotated[str, typer.Argument(metavar="ID", show_default=False)],
    as_json: AsJson = False,
) -> None:
    """Show the limits of a profile with their sources."""
    profile = user_library().profile(profile_id)
    if as_json:
        print_json(profile.model_dump(mode="json"))
        return
    screen = Screen()
    screen.paragraph((profile.title, "bold"), f"  ({profile.id})")
    screen.paragraph(" ".join(profile.text.split()))
    screen.paragraph(count_text(profile))
    for name, limit in profile.limits.items():
        screen.line()
        screen.paragraph((str(name), "bold"), f"  {figure_text(limit)}")
        screen.paragraph(f"{limit.text}.", first="  ")
        screen.paragraph(source_text(limit), first="  ")


@app.command("confirm")
def confirm(
    job_path: JobPath,
    limit_name: Annotated[
        str, typer.Argument(metavar="LIMIT", help="As profile show names it.", show_default=False)
    ],
    by: By,
    document: Annotated[
        str, typer.Option(metavar="TEXT", help="Your document.", show_default=False)
    ],
    edition: Annotated[
        str, typer.Option(metavar="TEXT", help="Edition of your copy.", show_default=False)
    ],
    value: Annotated[
        float | None,
        typer.Option(
            parser=as_number,
            metavar="NUMBER",
            help="The value in your copy; the profile's if not given.",
        ),
    ] = None,
    profile: Annotated[
        str | None,
        typer.Option(metavar="ID", help="Profile that holds the limit; the job's if not given."),
    ] = None,
    on: Annotated[
        str | None, typer.Option(metavar="DATE", help="When you read it; today if not given.")
    ] = None,
) -> None:
    """Put your name to a limit that you read yourself.

    It goes on record in the job. A limit from memory decides nothing until then. A value other
    than the profile's leaves it unconfirmed.
    """
    job = open_job(job_path)
    judged_by = job.profile
    held_by = judged_by if profile in (None, judged_by.id) else user_library().profile(str(profile))
    limit = _limit(held_by, limit_name)
    draft = Draft(
        kind=RecordKind.CONFIRM,
        values={
            "profile": held_by.id,
            "limit": limit_name,
            "value": limit.value if value is None else value,
            "document": document,
            "edition": edition,
        },
        at=when(on, job.site, "--on"),
        by=by,
    )
    entry = save_entries(job_path, job, [draft])[0]
    for warning in waits_for_nothing(limit_name, limit, held_by, judged_by):
        complain(f"Warning: {warning}")
    screen = Screen()
    asked = figure_text(limit)
    if value is None or value == limit.value:
        screen.paragraph(
            f"{entry.id}: {by} confirms {limit_name} = {asked} by {document}, {edition}."
        )
        return
    screen.paragraph(
        f"{entry.id}: {by} read {value:g} {limit.unit} in {document}, {edition}; "
        f"{other_value_text(limit)}"
    )


def _limit(profile: Profile, name: str) -> Limit:
    limits = {str(known): limit for known, limit in profile.limits.items()}
    if name not in limits:
        raise wrong_use(
            f"profile {profile.id!r} gives no {name!r}; it gives: {', '.join(limits)}", "LIMIT"
        )
    return limits[name]
