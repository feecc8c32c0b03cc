"""Links and things as people speak of them."""

from pathproof.assess.context import Context
from pathproof.assess.types import Link
from pathproof.terms import LinkKind


def named(ctx: Context, thing: str) -> str:
    """A device, repeater or panel as people speak of it, with its id."""
    names = {d.id: d.name for d in ctx.site.devices} | {r.id: r.name for r in ctx.site.repeaters}
    return f"{names[thing]} ({thing})" if thing in names else f"the {thing}"


def called(ctx: Context, link: Link) -> str:
    """A link as people speak of it."""
    match link.kind:
        case LinkKind.RADIO:
            return f"{named(ctx, link.start)} to {named(ctx, link.end)} by radio"
        case LinkKind.MOBILE:
            return f"Mobile network at communicator {link.start}"
        case LinkKind.REPORTING:
            return f"Reporting to {link.end}"
        case LinkKind.SUPPLY:
            return "Supply of the panel"
        case LinkKind.STANDBY:
            return "Standby of the panel"
