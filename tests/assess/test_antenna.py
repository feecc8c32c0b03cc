"""What antenna, feeder and connectors add to a reading."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pathproof.assess.antenna import (
    HIGHEST_BAND_HZ,
    AntennaRun,
    bands_in_use,
    break_even,
    fitted_run,
    gain_db,
    unfit,
    write_gain,
)
from pathproof.assess.context import Context
from pathproof.assess.sheet import Sheet
from pathproof.assess.types import Line
from pathproof.calc.radio import MOBILE_BANDS
from pathproof.job import AntennaPart, CommunicatorPart, FeederPart
from pathproof.terms import InvalidInputError

from ._jobs import NOW, SOURCE, make_job

OWN_DBI = -2.0
# RG-58C class: K1 1.3195, K2 0.02881 (handbook points, form of MIL-C-17)
RG58 = {"k1_db_per_100m": 1.3195, "k2_db_per_100m": 0.02881}


def _module(**figures: Any) -> CommunicatorPart:
    fields = {"technologies": ["lte"], "antenna_gain_dbi": OWN_DBI, "antenna_socket": True}
    return CommunicatorPart.model_validate(
        {"kind": "communicator", "id": "m", "name": "M", "source": SOURCE, **fields, **figures}
    )


def _antenna(**figures: Any) -> AntennaPart:
    fields = {"gain_dbi": 3.0, "low_hz": 698e6, "high_hz": 2690e6, "vswr": 2.0}
    return AntennaPart.model_validate(
        {"kind": "antenna", "id": "a", "name": "Rod", "source": SOURCE, **fields, **figures}
    )


def _cable(**figures: Any) -> FeederPart:
    return FeederPart.model_validate(
        {"kind": "feeder", "id": "f", "name": "Coax", "source": SOURCE, **RG58, **figures}
    )


def _run(**fields: Any) -> AntennaRun:
    plain: dict[str, Any] = {
        "module": _module(),
        "antenna": _antenna(),
        "feeder": _cable(),
        "length_m": 5.0,
        "connectors": 2,
        "crossed": False,
        "near_metal": False,
    }
    return AntennaRun(**(plain | fields))


OWN: dict[str, Any] = {"antenna": None, "feeder": None, "length_m": 0.0, "connectors": 0}


def _context(*networks: list[str]) -> Context:
    told = [
        {"mcc_mnc": f"001-0{i}", "label": f"N{i}", "technologies": ["lte"], "bands": bands}
        for i, bands in enumerate(networks, start=1)
    ]
    return Context(make_job(networks=told), NOW, None, leave_out_later=False)


CTX = _context()


def _lines(run: AntennaRun, band: str | None, ctx: Context = CTX) -> tuple[float, tuple[Line, ...]]:
    sheet = Sheet()
    total_db, _ = write_gain(sheet, run, band, ctx)
    return total_db, sheet.lines


def _values(lines: tuple[Line, ...]) -> list[Any]:
    return [(line.value, line.unit) for line in lines]


def test_a_whole_run_by_hand() -> None:
    # At 1880 MHz, the upper end of band 3 (TS 36.101, table 5.5-1):
    # (1.3195 x 43.3590 + 0.02881 x 1880) x 5 / 100 = 5.5687 dB of feeder, 2 x 0.5 dB of
    # connectors, 0.5115 dB for VSWR 2 (worked example of transmission lines)
    assert gain_db(_run(), "3", CTX) == pytest.approx(3.0 - 5.5687 - 1.0 - 0.5115, abs=2e-4)


def test_each_term_has_a_line_with_formula_and_source() -> None:
    total_db, lines = _lines(_run(crossed=True, near_metal=True), "B3")
    assert _values(lines[:7]) == [
        (3.0, "dBi"),
        (pytest.approx(5.5687, abs=5e-5), "dB"),
        (1.0, "dB"),
        (pytest.approx(0.5115, abs=5e-5), "dB"),
        (3.0, "dB"),  # house value (practice)
        (6.0, "dB"),  # house value (practice)
        (pytest.approx(total_db), "dB"),
    ]
    assert all(line.sources for line in lines[:6])
    assert lines[6].needs == tuple(line.id for line in lines[:6])
    assert "1880 MHz, the upper end of band 3" in lines[1].label


def test_the_modules_own_antenna_adds_its_gain_and_nothing_else() -> None:
    run = _run(**OWN)
    for band in ("3", "31", "n78", None):
        assert gain_db(run, band, CTX) == OWN_DBI
    _, lines = _lines(run, "3")
    assert _values(lines) == [(OWN_DBI, "dBi")]


def test_an_antenna_is_not_made_for_a_band_outside_its_range() -> None:
    # band 31: 452.5 to 467.5 MHz (TS 36.101, table 5.5-1)
    assert gain_db(_run(), "31", CTX) is None
    assert "Rod is made for 698 to 2690 MHz, and band 31" in (unfit(_run(), "31", CTX) or "")
    with pytest.raises(InvalidInputError, match=r"band 31 takes 462\.5 to 467\.5 MHz"):
        write_gain(Sheet(), _run(), "31", CTX)
    assert break_even(_run(), "31", CTX) is None


def test_an_antenna_has_to_cover_what_the_module_sends_in_as_well() -> None:
    # band 20: downlink 791 to 821 MHz, uplink 832 to 862 MHz (TS 36.101, table 5.5-1)
    assert gain_db(_run(antenna=_antenna(low_hz=790e6, high_hz=830e6)), "20", CTX) is None
    assert gain_db(_run(antenna=_antenna(low_hz=791e6, high_hz=862e6)), "20", CTX) is not None


def test_nothing_is_counted_on_in_a_band_that_is_not_on_hand() -> None:
    assert gain_db(_run(), "n78", CTX) is None
    assert "n78 are not on hand" in (unfit(_run(), "n78", CTX) or "")


@pytest.mark.parametrize(
    ("own", "networks", "f_mhz", "whose"),
    [
        # upper ends of bands (TS 36.101, table 5.5-1): 3 1880, 7 2690, 8 960, 20 862 MHz
        (["3", "7", "20"], [["B3", "20"], ["20"]], 1880.0, "the module and the site's networks"),
        (["7", "20"], [["20"], ["8"]], 862.0, "the module and the site's networks"),
        (["7", "20"], [["20"], []], 2690.0, "the module"),  # one network tells none
        (["8", "20"], [["3"]], 960.0, "the module"),  # they share none
        ([], [["8"], ["20"]], 960.0, "the site's networks"),
        (["20", "31"], [["20", "31"]], 862.0, "the module and the site's networks"),
        ([], [], 2690.0, "nobody says"),
    ],
)
def test_where_no_band_was_read_the_highest_that_may_be_used_counts(
    own: list[str], networks: list[list[str]], f_mhz: float, whose: str
) -> None:
    run = _run(module=_module(bands=own))
    _, lines = _lines(run, None, _context(*networks))
    assert lines[1].inputs["f"] == (f_mhz, "MHz")
    assert whose in lines[1].label


def test_where_no_band_in_question_fits_the_antenna_nothing_is_counted_on() -> None:
    run = _run(module=_module(bands=["31", "72"]))
    assert gain_db(run, None, CTX) is None
    assert "(31, 72)" in (unfit(run, None, CTX) or "")
    assert gain_db(_run(module=_module(bands=["n78"])), None, CTX) is None


def test_bands_that_are_not_on_hand_are_kept_apart() -> None:
    in_use = bands_in_use(_run(module=_module(bands=["n78", "B20", "020", "20"])), CTX.site)
    assert [b.number for b in in_use.bands] == ["20"]
    assert in_use.not_on_hand == ("78",)


def test_only_networks_that_the_card_may_use_count() -> None:
    site = _context(["3"], ["20"]).site
    module = _module(bands=["3", "20"])
    both = bands_in_use(_run(module=module), site)
    own = bands_in_use(_run(module=module, networks=("001-02",)), site)
    assert [b.number for b in both.bands] == ["3", "20"]
    assert ([b.number for b in own.bands], own.whose) == (
        ["20"],
        "the module and the networks of its card",
    )


def test_the_length_at_which_a_better_antenna_stops_helping() -> None:
    # 111.375 dB/100 m at 1880 MHz, see above; 3 - (-2) dB more gain, 1.5115 dB lost otherwise:
    # 100 x 3.4885 / 111.375 = 3.1322 m; 5 m lose 2.0803 dB against the module's own
    found = break_even(_run(), "3", CTX)
    assert found is not None
    assert found.length_m == pytest.approx(3.1322, abs=2e-4)
    assert found.left_db == pytest.approx(-2.0803, abs=2e-4)
    _, lines = _lines(_run(), "3")
    assert _values(lines[-2:]) == [
        (pytest.approx(3.1322, abs=2e-4), "m"),
        (pytest.approx(-2.0803, abs=2e-4), "dB"),
    ]


def test_metal_at_the_place_counts_for_either_antenna() -> None:
    # The module's own antenna there would have the same metal near it; the figures are as above.
    found = break_even(_run(near_metal=True), "3", CTX)
    assert found is not None
    assert found.length_m == pytest.approx(3.1322, abs=2e-4)
    assert found.left_db == pytest.approx(-2.0803, abs=2e-4)
    crossed = break_even(_run(crossed=True), "3", CTX)  # 3 dB (practice): 100 x 0.4885 / 111.375
    assert crossed is not None
    assert crossed.length_m == pytest.approx(0.4386, abs=2e-4)


def test_at_that_length_nothing_is_left() -> None:
    found = break_even(_run(), "20", CTX)
    assert found is not None
    at_it = break_even(_run(length_m=found.length_m), "20", CTX)
    assert at_it is not None
    assert at_it.left_db == pytest.approx(0.0, abs=1e-9)


def test_no_length_where_there_is_no_feeder_or_no_other_antenna() -> None:
    assert break_even(_run(feeder=None, length_m=0.0, connectors=0), "3", CTX) is None
    assert break_even(_run(antenna=None), "3", CTX) is None
    lossless = _cable(k1_db_per_100m=0.0, k2_db_per_100m=0.0)
    assert break_even(_run(feeder=lossless), "3", CTX) is None


def test_the_highest_band_of_all_is_2690_mhz() -> None:
    assert HIGHEST_BAND_HZ == 2690e6  # upper end of bands 7 and 41 (TS 36.101, table 5.5-1)


def test_the_run_of_a_communicator() -> None:
    feeder = {"part": "coax", "length_m": 7.5, "connectors": 3}
    fields = {"antenna": "whip", "feeder": feeder, "antenna_near_metal": True}
    job = make_job(communicators=[{"id": "C1", "part": "lte", **fields}])
    run = fitted_run(job, job.site.communicators[0])
    assert (run.module.id, run.length_m, run.connectors) == ("lte", 7.5, 3)
    assert run.antenna is not None
    assert run.feeder is not None
    assert (run.antenna.id, run.feeder.id) == ("whip", "coax")
    assert (run.crossed, run.near_metal) == (False, True)
    card = {"id": "C1", "part": "lte", "sim": {"kind": "fixed", "networks": ["001-02"]}}
    there = {"mcc_mnc": "001-02", "label": "Two", "technologies": ["lte"]}
    job = make_job(communicators=[card], networks=[there])
    assert fitted_run(job, job.site.communicators[0]).networks == ("001-02",)
    plain = make_job(communicators=[{"id": "C1", "part": "lte"}])
    own = fitted_run(plain, plain.site.communicators[0])
    assert (own.antenna, own.feeder, own.length_m, own.connectors) == (None, None, 0.0, 0)


@given(
    gain_dbi=st.floats(-20.0, 30.0),
    vswr=st.floats(1.0, 20.0),
    length_m=st.floats(0.002, 1000.0),
    connectors=st.integers(0, 10),
    with_antenna=st.booleans(),
    with_feeder=st.booleans(),
    crossed=st.booleans(),
    near_metal=st.booleans(),
    band=st.sampled_from([None, *MOBILE_BANDS]),
)
def test_the_lines_add_up_to_the_gain(
    gain_dbi: float,
    vswr: float,
    length_m: float,
    connectors: int,
    with_antenna: bool,
    with_feeder: bool,
    crossed: bool,
    near_metal: bool,
    band: str | None,
) -> None:
    run = _run(
        antenna=_antenna(gain_dbi=gain_dbi, vswr=vswr, low_hz=450e6) if with_antenna else None,
        feeder=_cable() if with_feeder else None,
        length_m=length_m if with_feeder else 0.0,
        connectors=connectors if with_feeder else 0,
        crossed=crossed,
        near_metal=near_metal,
    )
    sheet = Sheet()
    total_db, needs = write_gain(sheet, run, band, CTX)
    assert total_db == gain_db(run, band, CTX)
    by_id = {line.id: line for line in sheet.lines}
    (last,) = needs
    terms = [by_id[i] for i in by_id[last].needs] or [by_id[last]]
    by_unit: dict[str, list[Any]] = {"dBi": [], "dB": []}
    for line in terms:
        by_unit[line.unit].append(line.value)
    assert len(by_unit["dBi"]) == 1
    assert by_id[last].value == total_db
    assert total_db == pytest.approx(by_unit["dBi"][0] - sum(by_unit["dB"]), abs=1e-9)
