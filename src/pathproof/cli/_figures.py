"""The one or two figures of a part or construction that a person looks for first."""

from pathproof.job import (
    AntennaPart,
    BatteryPart,
    CablePart,
    CommunicatorPart,
    Construction,
    DetectorPart,
    FeederPart,
    InstrumentPart,
    PanelPart,
    Part,
    Radio,
    RepeaterPart,
    Scale,
    ServicePart,
    SupplyPart,
)


def main_figures(part: Part) -> str:
    """What matters first of a part, in one line."""
    match part:
        case PanelPart():
            return _joined(*map(_radio, part.radios), _scale(part.scale))
        case DetectorPart():
            return _joined(str(part.what), _radio(part.radio) if part.radio else "wired")
        case RepeaterPart():
            return _joined(*map(_radio, part.radios))
        case CommunicatorPart():
            return _joined(", ".join(part.technologies), _scale(part.scale))
        case ServicePart():
            among = ", ".join(part.networks) or "any network of the site"
            return f"{part.sim_kind}, {among}"
        case AntennaPart():
            return f"{part.gain_dbi:g} dBi, {part.low_hz / 1e6:g} to {part.high_hz / 1e6:g} MHz"
        case FeederPart():
            return f"{part.k1_db_per_100m:g} sqrt(f) + {part.k2_db_per_100m:g} f dB per 100 m"
        case BatteryPart():
            return f"{part.nominal_v:g} V, {part.capacity_ah:g} Ah"
        case SupplyPart():
            return f"{part.output_v:g} V, {part.average_a:g} A, {part.peak_a:g} A at most"
        case CablePart():
            return f"{part.area_mm2:g} mm2" if part.area_mm2 is not None else f"AWG {part.awg}"
        case InstrumentPart():
            return _joined(", ".join(part.measures), _scale(part.scale))


def layers_text(made: Construction) -> str:
    """The layers of a construction, or its fixed loss."""
    if made.fixed_loss_db is not None:
        return f"{made.fixed_loss_db:g} dB at any angle and frequency"
    return ", ".join(f"{x.material} {x.thickness_m * 1000:g} mm" for x in made.layers)


def _joined(*texts: str) -> str:
    return "; ".join(text for text in texts if text)


def _radio(radio: Radio) -> str:
    power = ""
    if radio.eirp_dbm is not None:
        power = f", sends {radio.eirp_dbm:g} dBm e.i.r.p."
    elif radio.field_strength_uv_per_m is not None:
        at = f"{radio.field_strength_at_m:g} m"
        power = f", sends {radio.field_strength_uv_per_m:g} uV/m at {at}"
    elif radio.open_air_range_m is not None:
        power = f", {radio.open_air_range_m:g} m in the open"
    heard = f", hears {radio.sensitivity_dbm:g} dBm" if radio.sensitivity_dbm is not None else ""
    return f"{radio.family} at {radio.frequency_hz / 1e6:g} MHz{power}{heard}"


def _scale(scale: Scale | None) -> str:
    if scale is None:
        return ""
    tied = "tied to levels" if scale.tied else "not tied to levels"
    return f"scale of {len(scale.steps)} steps, {tied}"
