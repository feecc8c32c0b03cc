"""The job file: site, record, catalogue, profiles and constructions; reading and writing.

`geometry` and `fingerprint` load the compiled kernel, so they are imported by name where needed.
"""

from pathproof.job._disk import write_atomically
from pathproof.job._model import MOMENT_YEARS, PANEL_ID, Source
from pathproof.job._problems import explain
from pathproof.job.catalogue import (
    AntennaPart,
    BatteryPart,
    CablePart,
    CommunicatorPart,
    DetectorPart,
    FeederPart,
    InstrumentPart,
    PanelPart,
    Part,
    Radio,
    RepeaterPart,
    Scale,
    ScaleStep,
    ServicePart,
    SupplyPart,
)
from pathproof.job.construction import Construction, LayerSpec
from pathproof.job.embedded import Embedded
from pathproof.job.file import (
    Job,
    content_hash,
    dump_job,
    embed,
    parse_job,
    read_job,
    write_job,
)
from pathproof.job.library import Library, shipped
from pathproof.job.profile import Confirmation, Limit, Profile
from pathproof.job.record import Conditions, Entry, Level
from pathproof.job.retirement import Retirement
from pathproof.job.site import (
    Between,
    Communicator,
    Device,
    Floor,
    Network,
    Opening,
    Panel,
    Partition,
    Place,
    Repeater,
    Sim,
    Site,
    Slab,
    Spot,
    Wall,
    Zone,
)
from pathproof.job.underlay import Underlay, read_underlay, store_underlay, underlay_path

__all__ = [
    "MOMENT_YEARS",
    "PANEL_ID",
    "AntennaPart",
    "BatteryPart",
    "Between",
    "CablePart",
    "Communicator",
    "CommunicatorPart",
    "Conditions",
    "Confirmation",
    "Construction",
    "DetectorPart",
    "Device",
    "Embedded",
    "Entry",
    "FeederPart",
    "Floor",
    "InstrumentPart",
    "Job",
    "LayerSpec",
    "Level",
    "Library",
    "Limit",
    "Network",
    "Opening",
    "Panel",
    "PanelPart",
    "Part",
    "Partition",
    "Place",
    "Profile",
    "Radio",
    "Repeater",
    "RepeaterPart",
    "Retirement",
    "Scale",
    "ScaleStep",
    "ServicePart",
    "Sim",
    "Site",
    "Slab",
    "Source",
    "Spot",
    "SupplyPart",
    "Underlay",
    "Wall",
    "Zone",
    "content_hash",
    "dump_job",
    "embed",
    "explain",
    "parse_job",
    "read_job",
    "read_underlay",
    "shipped",
    "store_underlay",
    "underlay_path",
    "write_atomically",
    "write_job",
]
