"""`pathproof retirements`: which networks and services end, and who is exposed by when."""

from datetime import date, datetime
from pathlib import Path
from typing import Annotated, Any

import typer
from pydantic import TypeAdapter, ValidationError

from pathproof.assess.retirements import (
    NOTHING_KNOWN,
    Outlook,
    Prospect,
    fate_of,
    outlooks,
    row_text,
    site_exposed_from,
    years_after,
)
from pathproof.assess.wording import technology_text
from pathproof.cli._jobs import as_of_moment, open_job
from pathproof.cli._options import AsJson, AsOf, command_app, one_of, wrong_use
from pathproof.cli._screen import Screen, print_json
from pathproof.job import Job, Retirement, Site
from pathproof.job.home import user_library
from pathproof.job.retirement import Networks, network_key, network_row
from pathproof.terms import Technology

app = command_app()


@app.command()
def retirements(
    job_path: Annotated[
        Path | None,
        typer.Argument(
            metavar="JOB",
            help="A job file: how long its communicators will have a network; the table if not "
            "given.",
            show_default=False,
        ),
    ] = None,
    network: Annotated[
        str | None,
        typer.Option(
            metavar="MCC-MNC",
            help="Only what the table says of this network, as 001-01, or of all of a country "
            "code, as 001-*.",
        ),
    ] = None,
    technology: Annotated[
        Technology | None,
        typer.Option(
            parser=one_of(Technology),
            metavar="NAME",
            help=f"Only this technology: {', '.join(Technology)}.",
        ),
    ] = None,
    as_of: AsOf = None,
    as_json: AsJson = False,
) -> None:
    """Show which networks and services end, and which communicators that exposes by when.

    Without a job the table: what ships with Pathproof, and your own TOML files on top.
    """
    if job_path is None:
        day = as_of_moment(as_of, Site(name="The table")).date()
        spoken = None if technology is None else technology_text(technology)
        about = " ".join(x for x in (network, spoken) if x is not None)
        _answer_table(_chosen(network, technology), day, about, as_json=as_json)
        return
    for option, value in (("--network", network), ("--technology", technology)):
        if value is not None:
            raise wrong_use("it chooses rows of the table; leave it out with a job.", option)
    job = open_job(job_path)
    _answer_job(job, as_of_moment(as_of, job.site), as_json=as_json)


def _chosen(network: str | None, technology: Technology | None) -> list[Retirement]:
    """Rows of the table; of a network those that decide."""
    table = user_library().retirements
    if network is None:
        rows: list[Retirement | None] = [table[key] for key in sorted(table)]
    else:
        code = _network_code(network)
        whole_country = code.endswith("*")
        rows = [
            table.get(network_key(code, t)) if whole_country else network_row(table, code, t)
            for t in Technology
        ]
    return [r for r in rows if r is not None and technology in (None, r.technology)]


def _network_code(text: str) -> str:
    try:
        code: str = TypeAdapter(Networks).validate_python(text.strip())
    except ValidationError as error:
        raise wrong_use(
            f"given {text!r}; allowed: a country and network code, such as 001-01, or 001-* for "
            "all networks of that country code.",
            "--network",
        ) from error
    return code


def _answer_table(rows: list[Retirement], day: date, about: str, *, as_json: bool) -> None:
    if as_json:
        print_json({"as_of": day.isoformat(), "rows": [_row_as_json(r, day) for r in rows]})
        return
    screen = Screen()
    screen.paragraph(f"As of {day}. Dates slip: ask before you rely on one.")
    screen.line()
    for row in rows:
        screen.paragraph(_said(row, _text_on(row, day)), first=(f"{_name(row)}  ", "bold"))
    if not rows:
        screen.paragraph(f"{about}: {NOTHING_KNOWN}.")


def _name(row: Retirement) -> str:
    if row.network is not None and row.technology is not None:
        return f"{row.network} {technology_text(row.technology)}"
    return f"service of {row.part}" if row.part is not None else f"platform of {row.centre}"


def _text_on(row: Retirement, day: date) -> str:
    return row_text(row, fate_of(row, day, date.max), day)


def _row_as_json(row: Retirement, day: date) -> dict[str, Any]:
    counts_from = row.counts_from
    return {
        **row.model_dump(mode="json"),
        "fate": fate_of(row, day, date.max),
        "counts_from": None if counts_from is None else counts_from.isoformat(),
    }


def _said(row: Retirement, text: str) -> str:
    """What a row says and on whose word."""
    note = f" ({row.note})" if row.note else ""
    source = row.source
    cited = ", ".join(x for x in (source.ref, source.edition, source.clause) if x)
    seen = "" if row.seen is None else f", looked at {row.seen}"
    return f"{text}{note}. {cited} ({source.evidence}{seen})."


def _answer_job(job: Job, as_of: datetime, *, as_json: bool) -> None:
    found = outlooks(job, as_of)
    exposed_from = site_exposed_from(found)
    until = years_after(as_of.date(), job.site.service_life_years)
    if as_json:
        print_json(
            {
                "site": job.site.name,
                "as_of": as_of.isoformat(),
                "serves_until": until.isoformat(),
                "exposed_from": None if exposed_from is None else exposed_from.isoformat(),
                "communicators": [o.as_dict() for o in found],
            }
        )
        return
    screen = Screen()
    screen.paragraph((job.site.name, "bold"))
    screen.paragraph(
        f"As of {as_of.date()}; to serve {job.site.service_life_years:g} years, until {until}."
    )
    for outlook in found:
        _show(screen, outlook)
    screen.line()
    if not found:
        screen.paragraph("There is no communicator whose account has not ended.")
    elif exposed_from is None:
        screen.paragraph("No day is known from which the site has no way to the centre.")
    else:
        screen.paragraph(
            f"By what is known it counts as without a way to the centre from {exposed_from} on."
        )
        if any(_promised_until(p, exposed_from) for o in found for p in o.decides):
            screen.paragraph("It is promised until then; that it ends then nobody has said.")
        if any(p.counts_from is None for o in found for p in (*o.networks, *o.services)):
            screen.paragraph("What nobody knows the end of may end before.")


def _promised_until(prospect: Prospect, day: date) -> bool:
    """Whether nothing but a promise ends on a day."""
    row = prospect.row
    return row is not None and prospect.counts_from == day == row.ends_from and not row.ends_by


def _show(screen: Screen, outlook: Outlook) -> None:
    screen.heading(f"Communicator {outlook.communicator}: {outlook.why}")
    for prospect in (*outlook.networks, *outlook.services):
        screen.paragraph(_prospect_text(prospect), first=f"{prospect.name}  ")
    for step in outlook.steps:
        left = ", ".join(step.left) or "nothing"
        screen.paragraph(f"without {', '.join(step.ended)}; left: {left}", first=f"{step.on}  ")


def _prospect_text(prospect: Prospect) -> str:
    if prospect.row is None:
        return f"{prospect.why}."
    return _said(prospect.row, prospect.why)
