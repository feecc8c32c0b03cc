"""The words everybody shares: enums and errors, no logic."""

from pathproof.terms.errors import (
    CalcError,
    InvalidInputError,
    JobError,
    LocalProtocolError,
    NewerFormatError,
    OutOfRangeError,
    PathproofError,
    PlanError,
    ProtocolError,
    RemoteProtocolError,
)
from pathproof.terms.kinds import (
    AccountState,
    DeviceKind,
    EventMeans,
    LinkKind,
    Mounting,
    RecordKind,
    Role,
    SignalKind,
    SimKind,
    SupplyKind,
    Technology,
    ZoneKind,
)
from pathproof.terms.limits import LimitName
from pathproof.terms.quantities import Material, Quantity
from pathproof.terms.words import Evidence, Reason, Severity, Word

__all__ = [
    "AccountState",
    "CalcError",
    "DeviceKind",
    "EventMeans",
    "Evidence",
    "InvalidInputError",
    "JobError",
    "LimitName",
    "LinkKind",
    "LocalProtocolError",
    "Material",
    "Mounting",
    "NewerFormatError",
    "OutOfRangeError",
    "PathproofError",
    "PlanError",
    "ProtocolError",
    "Quantity",
    "Reason",
    "RecordKind",
    "RemoteProtocolError",
    "Role",
    "Severity",
    "SignalKind",
    "SimKind",
    "SupplyKind",
    "Technology",
    "Word",
    "ZoneKind",
]
