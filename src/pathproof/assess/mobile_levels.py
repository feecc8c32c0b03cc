"""Which mobile levels count, for which network and technology, and what that needs."""

from collections.abc import Collection, Iterator, Sequence

from pathproof.calc.radio import band_number
from pathproof.job import Communicator, Level, Network, Site
from pathproof.job.record import ReadingEntry
from pathproof.terms import InvalidInputError, LimitName, Quantity, SimKind, Technology

NEEDS: dict[Technology, tuple[Quantity, LimitName]] = {
    Technology.GSM: (Quantity.RSSI_DBM, LimitName.GSM_NEED_RSSI_DBM),
    Technology.UMTS: (Quantity.RSCP_DBM, LimitName.UMTS_NEED_RSCP_DBM),
    Technology.LTE: (Quantity.RSRP_DBM, LimitName.LTE_NEED_RSRP_DBM),
    Technology.LTE_M: (Quantity.RSRP_DBM, LimitName.LTE_M_NEED_RSRP_DBM),
    Technology.NB_IOT: (Quantity.RSRP_DBM, LimitName.NB_IOT_NEED_RSRP_DBM),
    Technology.NR: (Quantity.SS_RSRP_DBM, LimitName.NR_NEED_SS_RSRP_DBM),
}
"""What grades each technology. RSSI never grades LTE: it rises with load and interference."""

_TOLD_BY = {
    Quantity.RSRP_DBM: Technology.LTE,
    Quantity.SS_RSRP_DBM: Technology.NR,
    Quantity.RSCP_DBM: Technology.UMTS,
    Quantity.RXLEV_DBM: Technology.GSM,
}
"""Technology that a quantity tells, where the entry does not name it. RSSI tells none."""


def grading(technology: Technology) -> tuple[Quantity, ...]:
    """The quantities that grade a technology."""
    quantity, _ = NEEDS[technology]
    return (quantity, Quantity.RXLEV_DBM) if technology is Technology.GSM else (quantity,)


def told_by(quantity: Quantity, possible: Collection[Technology]) -> Technology | None:
    """The technology of a level whose entry names none, out of those that come into question."""
    if quantity is Quantity.RSSI_DBM and set(possible) == {Technology.GSM}:
        return Technology.GSM
    return _TOLD_BY.get(quantity)


def technology_at(network: Network, quantity: Quantity) -> Technology | None:
    """The technology of a level that names none: the usual one, or the one that is offered here.

    None where it may be of several that are offered, and the usual one is not.
    """
    usual = told_by(quantity, network.technologies)
    offered = offered_in(network, quantity)
    if usual is None or usual in offered or not offered:
        return usual
    return offered[0] if len(offered) == 1 else None


def offered_in(network: Network, quantity: Quantity) -> list[Technology]:
    """Technologies that a network lists and a quantity grades."""
    return [t for t in network.technologies if quantity in grading(t)]


def spoken_in(speaks: Sequence[Technology], quantity: Quantity) -> Technology | None:
    """What a module has read itself, by what it speaks; none where that may be several.

    RSSI is shown in any technology, so it tells one only where the module speaks no other.
    """
    own = [t for t in speaks if quantity in grading(t)]
    tells = len(own) == 1 and (len(speaks) == 1 or quantity is not Quantity.RSSI_DBM)
    return own[0] if tells else None


def network_at(site: Site, mcc_mnc: str | None) -> Network | None:
    """A network of the site by its code; none where the site does not list it."""
    return next((n for n in site.networks if n.mcc_mnc == mcc_mnc), None)


def half_width_db(level: Level) -> float:
    """Half of a level's bin; 0 where an edge is open."""
    if level.low is None or level.high is None:
        return 0.0
    return (level.high - level.low) / 2


def moments(entry: ReadingEntry) -> Iterator[tuple[float, list[Level]]]:
    """How long after its first moment, and what was read then, for each moment of an entry. [s]"""
    yield 0.0, entry.values.levels
    for sample in entry.values.series:
        yield sample.after_s, sample.levels


def same_band(one: str, other: str) -> bool:
    """Whether two band numbers are the same, however they are written."""
    return bare_band(one) == bare_band(other)


def bare_band(band: str) -> str:
    """The number of a band, as 20 of "B20" and "020"; as it is written where it is none."""
    try:
        return band_number(band)
    except InvalidInputError:
        return band


def allowed_networks(site: Site, communicator: Communicator) -> list[str]:
    """The networks that a communicator's card may use; none where that is not said."""
    sim = communicator.sim
    if sim is None:
        return []
    here = [n.mcc_mnc for n in site.networks]
    if sim.kind is SimKind.FIXED:
        return sim.networks[:1] or (here if len(here) == 1 else [])
    return sim.networks or here
