"""Code tables of mobile signal reports: what a reported code says about the level.

Every table is data with its source beside it; parsers, help text and docs read this registry. A
bin holds its lower edge and not its upper one. All code here is scalar.

References
----------
.. [1] 3GPP TS 27.007, clauses 8.5 (+CSQ; Rel-18 read) and 8.69 (+CESQ; as restated in module
   manuals, the fields of 5G from memory).
.. [2] 3GPP TS 45.008, clauses 8.1.4 (RXLEV) and 8.2.4 (RXQUAL), as restated in module manuals.
.. [3] 3GPP TS 25.133, clause 9.1.1.3 (CPICH RSCP), as restated in module manuals.
.. [4] 3GPP TS 36.133, tables 9.1.4-1 (RSRP, v19.6.0) and 9.1.7-1 (RSRQ), clause 9.1.17 (RS-SINR),
   as restated in public documents; negative codes of RSRP from memory.
.. [5] 3GPP TS 38.133, tables 10.1.6.1-1, 10.1.11.1-1 and 10.1.16.1-1, as restated in public
   documents and open libraries.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Final, NamedTuple

from pathproof.terms import Evidence, InvalidInputError, Quantity, RemoteProtocolError


@dataclass(frozen=True, kw_only=True)
class Level:
    """One level with the edges of its bin, in the quantity's unit; an open edge is None."""

    quantity: Quantity
    value: float
    """Middle of the bin; of an open bin its closed edge."""
    low: float | None
    high: float | None

    @classmethod
    def from_edges(cls, quantity: Quantity, low: float | None, high: float | None) -> "Level":
        """Level of a bin with at least one closed edge."""
        closed = [edge for edge in (low, high) if edge is not None]
        if not closed:
            raise InvalidInputError(f"{quantity} has no edge; give at least one of low and high.")
        # Rounded so that the middle of 0.4 and 0.8 is 0.6 and not a float's neighbour of it.
        value = round(sum(closed) / len(closed), 9)
        return cls(quantity=quantity, value=value, low=low, high=high)

    def as_dict(self) -> dict[str, str | float | None]:
        """Level as plain JSON values."""
        return {
            "quantity": self.quantity.value,
            "value": self.value,
            "low": self.low,
            "high": self.high,
        }


@dataclass(frozen=True, kw_only=True)
class TableSource:
    """Where a table comes from and how sure we are of it."""

    ref: str
    clause: str
    evidence: Evidence
    edition: str = ""
    """Empty where the restatement does not name it."""

    def __str__(self) -> str:
        return " ".join(part for part in (self.ref, self.edition, self.clause) if part)


class Steps(NamedTuple):
    """A straight piece of a table: codes `first` to `last`, the first bin starting at `start`."""

    first: int
    last: int
    start: float
    step: float


class Bin(NamedTuple):
    """Edges of one code's bin, [low, high); None is open."""

    low: float | None
    high: float | None


@dataclass(frozen=True, kw_only=True, eq=False)
class CodeTable:
    """One field's codes and the bins they stand for."""

    name: str
    quantity: Quantity
    steps: tuple[Steps, ...]
    below: Mapping[int, float]
    """Codes for everything below a level."""
    above: Mapping[int, float]
    """Codes for a level and everything above it."""
    unknown: int | None = None
    """Code for "not known or not detectable"."""
    source: TableSource
    memory_codes: range = field(default=range(0))
    """Codes that are from memory in a table that otherwise has a better source."""
    remark: str = ""
    """What a reader of the table should know."""

    @cached_property
    def bins(self) -> Mapping[int, Bin]:
        """Bins by code, lowest code first; without the code for "not known"."""
        bins = {code: Bin(None, high) for code, high in self.below.items()}
        bins |= {code: Bin(low, None) for code, low in self.above.items()}
        for first, last, start, step in self.steps:
            for n, code in enumerate(range(first, last + 1)):
                bins[code] = Bin(start + n * step, start + (n + 1) * step)
        return dict(sorted(bins.items()))

    @property
    def unit(self) -> str:
        """Unit as people write it."""
        return {"dbm": "dBm", "db": "dB", "percent": "%"}[self.quantity.rsplit("_", 1)[-1]]

    @property
    def lowest(self) -> float:
        """Lowest edge of the table. [unit of the quantity]"""
        return min(self.below.values())

    @property
    def highest(self) -> float:
        """Highest edge of the table. [unit of the quantity]"""
        return max(self.above.values())

    @property
    def allowed(self) -> str:
        """Allowed codes in words, such as "0 to 97 or 255"."""
        known = f"{min(self.bins)} to {max(self.bins)}"
        return known if self.unknown is None else f"{known} or {self.unknown}"

    def level(self, code: int) -> Level | None:
        """Level of a code, None when the code says "not known".

        Raises
        ------
        RemoteProtocolError
            The code is not in the table.
        """
        if code == self.unknown:
            return None
        if code not in self.bins:
            raise RemoteProtocolError(
                f"{self.name} was {code}; {self.source} allows {self.allowed}. "
                "Check that the answer was copied whole and is of this command."
            )
        return Level.from_edges(self.quantity, *self.bins[code])

    def evidence(self, code: int) -> Evidence:
        """How sure we are of one code's meaning."""
        return Evidence.MEMORY if code in self.memory_codes else self.source.evidence

    def describe(self) -> str:
        """One line for help text and docs."""
        return (
            f"{self.name}: {self.quantity.value}, codes {self.allowed}, "
            f"{self.lowest:g} to {self.highest:g} {self.unit} ({self.source}; "
            f"{self.source.evidence.value})"
        )


def _field_source(clause: str, evidence: Evidence = Evidence.RESTATED) -> TableSource:
    return TableSource(ref="TS 27.007", clause=clause, evidence=evidence)


CSQ_RSSI: Final = CodeTable(
    name="+CSQ rssi",
    quantity=Quantity.RSSI_DBM,
    # The standard prints points, -113 + 2k; a bin is half a step either side. The two end codes
    # are printed as "-113 dBm or less" and "-51 dBm or greater" and keep those edges. [1]
    steps=(Steps(1, 30, -112.0, 2.0),),
    below={0: -113.0},
    above={31: -51.0},
    unknown=99,
    source=TableSource(
        ref="TS 27.007", edition="Rel-18", clause="clause 8.5", evidence=Evidence.READ
    ),
    remark="On LTE it is a wideband level mapped by the module's maker; judge LTE by +CESQ.",
)
BER: Final = CodeTable(
    name="ber",
    quantity=Quantity.BER_PERCENT,
    # RXQUAL bands, each twice the one before. [2]
    steps=tuple(Steps(k, k, 0.2 * 2 ** (k - 1), 0.2 * 2 ** (k - 1)) for k in range(1, 7)),
    below={0: 0.2},
    above={7: 12.8},
    unknown=99,
    source=TableSource(
        ref="TS 27.007",
        edition="Rel-18",
        clause="clause 8.5, bands of TS 45.008 clause 8.2.4",
        evidence=Evidence.RESTATED,
    ),
    remark="The codes were read in the standard, the bands in restatements of it.",
)
CESQ_RXLEV: Final = CodeTable(
    name="+CESQ rxlev",
    quantity=Quantity.RXLEV_DBM,
    steps=(Steps(1, 62, -110.0, 1.0),),
    below={0: -110.0},
    above={63: -48.0},
    unknown=99,
    source=_field_source("clause 8.69, TS 45.008 clause 8.1.4"),
)
CESQ_RSCP: Final = CodeTable(
    name="+CESQ rscp",
    quantity=Quantity.RSCP_DBM,
    steps=(Steps(1, 95, -120.0, 1.0),),
    below={0: -120.0},
    above={96: -25.0},
    unknown=255,
    source=_field_source("clause 8.69, TS 25.133 clause 9.1.1.3"),
)
CESQ_ECNO: Final = CodeTable(
    name="+CESQ ecno",
    quantity=Quantity.ECNO_DB,
    steps=(Steps(1, 48, -24.0, 0.5),),
    below={0: -24.0},
    above={49: 0.0},
    unknown=255,
    source=_field_source("clause 8.69"),
)
CESQ_RSRQ: Final = CodeTable(
    name="+CESQ rsrq",
    quantity=Quantity.RSRQ_DB,
    steps=(Steps(1, 33, -19.5, 0.5),),
    below={0: -19.5},
    above={34: -3.0},
    unknown=255,
    source=_field_source("clause 8.69, TS 36.133 clause 9.1.7"),
)
CESQ_RSRP: Final = CodeTable(
    name="+CESQ rsrp",
    quantity=Quantity.RSRP_DBM,
    steps=(Steps(1, 96, -140.0, 1.0),),
    below={0: -140.0},
    above={97: -44.0},
    unknown=255,
    source=_field_source("clause 8.69, TS 36.133 clause 9.1.4"),
)
CESQ_SS_RSRQ: Final = CodeTable(
    name="+CESQ ss_rsrq",
    quantity=Quantity.SS_RSRQ_DB,
    steps=(Steps(1, 125, -43.0, 0.5),),
    below={0: -43.0},
    above={126: 19.5},
    unknown=255,
    source=_field_source("clause 8.69, TS 38.133 table 10.1.11.1-1", Evidence.MEMORY),
    remark=(
        "The top code is 126 here and 127 in TS 38.133, where 126 is 19.5 to 20 dB; "
        "19.5 dB and above holds in both."
    ),
)
CESQ_SS_RSRP: Final = CodeTable(
    name="+CESQ ss_rsrp",
    quantity=Quantity.SS_RSRP_DBM,
    steps=(Steps(1, 125, -156.0, 1.0),),
    below={0: -156.0},
    above={126: -31.0},
    unknown=255,
    source=_field_source("clause 8.69, TS 38.133 table 10.1.6.1-1", Evidence.MEMORY),
)
CESQ_SS_SINR: Final = CodeTable(
    name="+CESQ ss_sinr",
    quantity=Quantity.SS_SINR_DB,
    steps=(Steps(1, 126, -23.0, 0.5),),
    below={0: -23.0},
    above={127: 40.0},
    unknown=255,
    source=_field_source("clause 8.69, TS 38.133 table 10.1.16.1-1", Evidence.MEMORY),
)

LTE_RSRP: Final = CodeTable(
    name="LTE RSRP",
    quantity=Quantity.RSRP_DBM,
    steps=(Steps(-16, -1, -156.0, 1.0), Steps(1, 96, -140.0, 1.0)),
    below={-17: -156.0, 0: -140.0},
    above={97: -44.0},
    source=TableSource(
        ref="TS 36.133", edition="v19.6.0", clause="table 9.1.4-1", evidence=Evidence.RESTATED
    ),
    memory_codes=range(-17, 0),
    remark="Code 0 means below -140 dBm for a module without the extended range.",
)
LTE_RSRQ: Final = CodeTable(
    name="LTE RSRQ",
    quantity=Quantity.RSRQ_DB,
    steps=(Steps(-29, -1, -34.0, 0.5), Steps(1, 33, -19.5, 0.5), Steps(35, 45, -3.0, 0.5)),
    below={-30: -34.0, 0: -19.5},
    above={34: -3.0, 46: 2.5},
    source=TableSource(ref="TS 36.133", clause="table 9.1.7-1", evidence=Evidence.RESTATED),
    remark=(
        "Three straight pieces that do not line up: codes 34 and 35 both start at -3 dB. Code 34 "
        "is the top of the short range, -3 dB or more, so one formula for all codes is half a dB "
        "off above it."
    ),
)
LTE_RS_SINR: Final = CodeTable(
    name="LTE RS-SINR",
    quantity=Quantity.SINR_DB,
    steps=(Steps(1, 126, -23.0, 0.5),),
    below={0: -23.0},
    above={127: 40.0},
    source=TableSource(ref="TS 36.133", clause="clause 9.1.17", evidence=Evidence.RESTATED),
)
NR_SS_RSRP: Final = CodeTable(
    name="NR SS-RSRP",
    quantity=Quantity.SS_RSRP_DBM,
    steps=(Steps(1, 125, -156.0, 1.0),),
    below={0: -156.0},
    above={126: -31.0},
    source=TableSource(ref="TS 38.133", clause="table 10.1.6.1-1", evidence=Evidence.RESTATED),
    memory_codes=range(126, 127),
    remark="Sources differ on 126; 127 is used in thresholds only and means no limit.",
)
NR_SS_RSRQ: Final = CodeTable(
    name="NR SS-RSRQ",
    quantity=Quantity.SS_RSRQ_DB,
    steps=(Steps(1, 126, -43.0, 0.5),),
    below={0: -43.0},
    above={127: 20.0},
    source=TableSource(ref="TS 38.133", clause="table 10.1.11.1-1", evidence=Evidence.RESTATED),
)
NR_SS_SINR: Final = CodeTable(
    name="NR SS-SINR",
    quantity=Quantity.SS_SINR_DB,
    steps=(Steps(1, 126, -23.0, 0.5),),
    below={0: -23.0},
    above={127: 40.0},
    source=TableSource(ref="TS 38.133", clause="table 10.1.16.1-1", evidence=Evidence.RESTATED),
)

CSQ_FIELDS: Final = (CSQ_RSSI, BER)
CESQ_FIELDS: Final = (CESQ_RXLEV, BER, CESQ_RSCP, CESQ_ECNO, CESQ_RSRQ, CESQ_RSRP)
CESQ_FIELDS_NR: Final = (*CESQ_FIELDS, CESQ_SS_RSRQ, CESQ_SS_RSRP, CESQ_SS_SINR)
REPORT_TABLES: Final = (LTE_RSRP, LTE_RSRQ, LTE_RS_SINR, NR_SS_RSRP, NR_SS_RSRQ, NR_SS_SINR)
TABLES: Final = (CSQ_RSSI, *CESQ_FIELDS_NR, *REPORT_TABLES)
"""Every table, each once."""
