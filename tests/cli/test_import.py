"""`pathproof import`: a plan into a job file, its report, and what a second import leaves alone."""

import json
from pathlib import Path
from typing import Any

import ezdxf
import pytest

HEAD = """ISO-10303-21;
HEADER;
FILE_DESCRIPTION(('ViewDefinition [CoordinationView]'),'2;1');
FILE_NAME('barn.ifc','2026-01-05T10:00:00',('Ada Author'),('Owner & Sons'),'','','');
FILE_SCHEMA(('IFC4'));
ENDSEC;
DATA;
#1=IFCPERSON($,'Author','Ada',$,$,$,$,$);
#2=IFCORGANIZATION($,'Owner & Sons',$,$,$);
#3=IFCPERSONANDORGANIZATION(#1,#2,$);
#4=IFCAPPLICATION(#2,'1','Drawn by hand','hand');
#5=IFCOWNERHISTORY(#3,#4,$,.ADDED.,$,$,$,0);
#6=IFCCARTESIANPOINT((0.,0.,0.));
#7=IFCAXIS2PLACEMENT3D(#6,$,$);
#8=IFCGEOMETRICREPRESENTATIONCONTEXT($,'Model',3,1.E-05,#7,$);
#9=IFCSIUNIT(*,.LENGTHUNIT.,$,.METRE.);
#10=IFCUNITASSIGNMENT((#9));
#11=IFCPROJECT('0000000000000000000001',#5,'Barn of Owner & Sons',$,$,$,$,(#8),#10);
#12=IFCLOCALPLACEMENT($,#7);
#13=IFCBUILDING('0000000000000000000002',#5,'Barn',$,$,#12,$,$,.ELEMENT.,$,$,$);
#14=IFCBUILDINGSTOREY('0000000000000000000003',#5,'Ground floor',$,$,#12,$,$,.ELEMENT.,0.);
#15=IFCBUILDINGSTOREY('0000000000000000000004',#5,'Loft',$,$,#12,$,$,.ELEMENT.,3.);
#16=IFCRELAGGREGATES('0000000000000000000005',#5,$,$,#11,(#13));
#17=IFCRELAGGREGATES('0000000000000000000006',#5,$,$,#13,(#14,#15));
"""
WALL = """#20=IFCCARTESIANPOINT((2.,0.));
#21=IFCAXIS2PLACEMENT2D(#20,$);
#22=IFCRECTANGLEPROFILEDEF(.AREA.,$,#21,4.,0.135);
#23=IFCDIRECTION((0.,0.,1.));
#24=IFCEXTRUDEDAREASOLID(#22,#7,#23,3.);
#25=IFCSHAPEREPRESENTATION(#8,'Body','SweptSolid',(#24));
#26=IFCPRODUCTDEFINITIONSHAPE($,$,(#25));
#27=IFCWALL('0000000000000000000007',#5,'North wall',$,$,#12,#26,$,.STANDARD.);
#28=IFCRELCONTAINEDINSPATIALSTRUCTURE('0000000000000000000008',#5,$,$,(#27),#14);
#29=IFCMATERIAL('Brick',$,$);
#30=IFCMATERIAL('Mystery board',$,$);
#31=IFCMATERIALLAYER(#29,0.115,$,$,$,$,$);
#32=IFCMATERIALLAYER(#30,0.02,$,$,$,$,$);
#33=IFCMATERIALLAYERSET((#31,#32),'Brick and board',$);
#34=IFCMATERIALLAYERSETUSAGE(#33,.AXIS2.,.POSITIVE.,-0.0675,$);
#35=IFCRELASSOCIATESMATERIAL('0000000000000000000009',#5,$,$,(#27),#34);
"""
TAIL = "ENDSEC;\nEND-ISO-10303-21;\n"


@pytest.fixture
def barn(tmp_path: Path) -> Path:
    """One wall of brick and of a board that nobody knows."""
    path = tmp_path / "owner-and-sons.ifc"
    path.write_text(HEAD + WALL + TAIL, "utf-8")
    return path


@pytest.fixture
def no_walls(tmp_path: Path) -> Path:
    """Two storeys and nothing else."""
    path = tmp_path / "empty.ifc"
    path.write_text(HEAD + TAIL, "utf-8")
    return path


def test_json_contract(run: Any, barn: Path) -> None:
    report = json.loads(run("import", barn, "-o", "job.json", "--json").stdout)
    assert list(report) == [
        "storeys",
        "walls",
        "openings",
        "slabs",
        "mapped",
        "guessed",
        "left_out",
    ]
    assert (report["storeys"], report["walls"], report["openings"]) == (1, 1, 0)
    assert {"name": "Brick", "material": "brick", "count": 1} in report["mapped"]
    for line in report["guessed"]:
        assert set(line) == {"what", "as", "why", "count"}
    assert any("Mystery board" in line["what"] for line in report["guessed"])


def test_the_job_can_be_assessed_and_holds_no_name_of_author_or_owner(run: Any, barn: Path) -> None:
    run("import", barn, "-o", "job.json", "--country", "XA", "--time-zone", "Europe/Vienna")
    text = Path("job.json").read_text()
    assert "Owner" not in text
    assert "Author" not in text
    job = json.loads(text)
    assert job["revision"] == 1
    assert job["site"]["name"] == "New site"
    assert job["site"]["country"] == "XA"
    run("assess", "job.json", code=4)


def test_report_in_words(run: Any, barn: Path) -> None:
    shown = run("import", barn, "-o", "job.json", "--name", "Barn").stdout
    assert "1 storey, 1 wall, 0 openings" in " ".join(shown.split())
    assert "Brick: brick" in shown
    assert "Mystery board" in shown[shown.index("Guessed") :]
    assert "Next:" in shown


def test_storeys_say_where_a_device_can_be_placed(run: Any, barn: Path) -> None:
    # the wall of the file above: 4 m from the origin along x, 0.135 m thick, 3 m to the loft
    shown = " ".join(run("import", barn, "-o", "job.json").stdout.split())
    floor = json.loads(Path("job.json").read_text())["site"]["floors"][0]
    assert f"{floor['id']} Ground floor: floor at 0.00 m, 3.00 m high" in shown
    assert "x 0.00 to 4.00, y 0.00 to 0.00 m" in shown
    assert "axes are in metres" in shown


def test_a_name_in_the_map_that_nothing_has(run: Any, barn: Path) -> None:
    Path("map.toml").write_text('[constructions]\n"Steel dor" = "steel_door"\n')
    done = run("import", barn, "-o", "job.json", "--materials", "map.toml", "--json")
    assert "Warning: The material map names 'Steel dor'" in done.stderr
    assert set(json.loads(done.stdout)) >= {"storeys", "guessed", "left_out"}


def test_a_map_of_materials_and_a_second_import_keep_everything_else(
    run: Any, barn: Path, edit: Any
) -> None:
    run("import", barn, "-o", "job.json")
    floor = json.loads(Path("job.json").read_text())["site"]["floors"][0]["id"]
    place = {"floor": floor, "at": [1.0, 1.0], "height_m": 2.0}

    def fit_out(job: Any) -> None:
        job["site"]["panel"] = {"part": "lark_wren_panel", **place}
        job["site"]["devices"] = [
            {"id": "door", "name": "Door", "part": "lark_contact", **place, "at": [2.0, 2.0]}
        ]

    edit(Path("job.json"), fit_out)
    walk = ("--due", "5", "--received", "5", "--in-hand-db", "6", "--lid-shut", "--final-place")
    run("record", "add", "job.json", "walk", "--about", "door", *walk, "--by", "A. Tester")
    before = json.loads(Path("job.json").read_text())
    Path("map.toml").write_text('[materials]\n"Mystery board" = "plasterboard"\n')
    again = run("import", barn, "-o", "job.json", "--materials", "map.toml", "--json")
    assert not any("Mystery" in g["what"] for g in json.loads(again.stdout)["guessed"])
    after = json.loads(Path("job.json").read_text())
    assert after["site"]["devices"] == before["site"]["devices"]
    assert after["site"]["panel"] == before["site"]["panel"]
    assert after["record"] == before["record"]
    assert after["revision"] == before["revision"] + 1
    assert "plasterboard" in json.dumps(after["site"]["constructions"])
    assert json.loads(run("record", "list", "job.json", "--json").stdout)[0]["no_longer_fits"] == []


def test_a_plan_with_no_walls_warns_and_imports(run: Any, no_walls: Path) -> None:
    done = run("import", no_walls, "-o", "job.json", "--json")
    assert json.loads(done.stdout)["walls"] == 0
    assert "Warning: " in done.stderr
    assert Path("job.json").exists()


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "truncated.ifc"),
        (b"not a plan at all", "truncated.ifc"),
        ((HEAD + WALL)[:900].encode(), "truncated.ifc"),
        (bytes(range(256)) * 20, "truncated.ifc"),
    ],
)
def test_what_is_no_plan(run: Any, tmp_path: Path, content: bytes, said: str) -> None:
    path = tmp_path / "truncated.ifc"
    path.write_bytes(content)
    done = run("import", path, "-o", "job.json", "--json", code=1)
    assert said in done.stderr
    assert done.stdout == ""
    assert not Path("job.json").exists()


def test_a_plan_of_200_mb_is_refused_before_it_is_read(run: Any, tmp_path: Path) -> None:
    path = tmp_path / "huge.ifc"
    with path.open("wb") as file:
        file.write((HEAD + TAIL).encode())
        file.truncate(200 * 2**20)
    assert "MB" in run("import", path, "-o", "job.json", code=1).stderr
    assert not Path("job.json").exists()


def test_a_plan_that_is_not_there_or_a_folder(run: Any, tmp_path: Path) -> None:
    assert "nowhere.ifc" in run("import", "nowhere.ifc", "-o", "job.json", code=1).stderr
    run("import", tmp_path, "-o", "job.json", code=1)
    assert not Path("job.json").exists()


@pytest.mark.parametrize(
    ("option", "value", "code", "said"),
    [
        ("--country", "Austria", 2, "--country"),
        ("--time-zone", "Vienna", 2, "--time-zone"),
        ("--name", "x" * 300, 2, "--name"),
        ("--materials", "nowhere.toml", 1, "nowhere.toml"),
    ],
)
def test_settings_that_are_none(
    run: Any, barn: Path, option: str, value: str, code: int, said: str
) -> None:
    assert said in run("import", barn, "-o", "job.json", option, value, code=code).stderr
    assert not Path("job.json").exists()


def test_a_material_that_is_none(run: Any, barn: Path) -> None:
    Path("map.toml").write_text('[materials]\n"Mystery board" = "chocolate"\n')
    done = run("import", barn, "-o", "job.json", "--materials", "map.toml", code=1)
    assert "chocolate" in done.stderr
    assert not Path("job.json").exists()


def test_a_file_that_is_no_job_is_not_overwritten(run: Any, barn: Path) -> None:
    Path("job.json").write_text("my notes")
    assert "job.json" in run("import", barn, "-o", "job.json", code=1).stderr
    assert Path("job.json").read_text() == "my notes"


def test_a_folder_that_is_not_there(run: Any, barn: Path) -> None:
    error = run("import", barn, "-o", "nowhere/job.json", code=1).stderr
    assert "cannot be written" in error


@pytest.fixture
def draw(tmp_path: Path) -> Any:
    """Writes a DXF drawing of one room, 5 x 4 m between the middles of walls of 0.2 m."""

    def draw(name: str = "room.dxf", layer: str = "WALL", header: int = 4) -> Path:
        doc = ezdxf.new()
        doc.header["$INSUNITS"] = header
        for low, x, y in ((-100, 5100, 4100), (100, 4900, 3900)):
            corners = [(low, low), (x, low), (x, y), (low, y)]
            attributes = {"layer": layer}
            doc.modelspace().add_lwpolyline(corners, close=True, dxfattribs=attributes)
        doc.saveas(tmp_path / name)
        return tmp_path / name

    return draw


def test_drawing(run: Any, draw: Any) -> None:
    report = json.loads(run("import", draw(), "-o", "job.json", "--json").stdout)
    assert (report["storeys"], report["walls"], report["openings"]) == (1, 4, 0)
    site = json.loads(Path("job.json").read_text())["site"]
    assert all(w["id"].startswith("dxf-") for w in site["walls"])
    assert site["name"] == "New site"
    run("assess", "job.json", code=4)


def test_drawings_as_storeys_with_height_and_notes(run: Any, draw: Any) -> None:
    Path("notes.toml").write_text(
        '[layers]\n"WALL" = "brick_solid_225"\n[storeys]\n"b.dxf" = { name = "Upper" }\n'
    )
    files = [draw("a.dxf"), draw("b.dxf")]
    arguments = ["-o", "job.json", "--storey-height", "2.9", "--notes", "notes.toml"]
    shown = " ".join(run("import", *files, *arguments).stdout.split())
    assert "2 storeys, 8 walls" in shown
    assert "Upper: floor at 2.90 m, 2.90 m high" in shown
    assert "Guessed" in shown
    assert "floor of Upper: Floor, build-up unknown" in shown


def test_layers_are_picked_and_left_out(run: Any, draw: Any) -> None:
    plan = draw(layer="A-OUTLINE")
    error = run("import", plan, "-o", "job.json", code=1).stderr
    assert "A-OUTLINE: 8 lines" in error
    assert not Path("job.json").exists()
    run("import", plan, "-o", "job.json", "--walls", "a-out*", "--walls", "A-*")
    error = run(
        "import", plan, "-o", "job.json", "--walls", "A-*", "--not-walls", "*LINE", code=1
    ).stderr
    assert "leaves no layer" in error


def test_wrong_unit_is_asked_for(run: Any, draw: Any) -> None:
    plan = draw(header=6)  # says metres
    error = run("import", plan, "-o", "job.json", code=1).stderr
    assert "the header says metres, but the drawing looks like millimetres" in error
    assert "--unit mm" in error
    assert not Path("job.json").exists()
    shown = run("import", plan, "-o", "job.json", "--unit", "mm").stdout
    assert "millimetres (by --unit; the header says metres)" in " ".join(shown.split())


def test_drawing_without_walls_leaves_the_job_as_it_is(run: Any, draw: Any) -> None:
    run("import", draw(), "-o", "job.json")
    before = Path("job.json").read_bytes()
    error = run("import", draw(), "-o", "job.json", "--unit", "m", code=1).stderr
    assert "--walls" in error
    assert Path("job.json").read_bytes() == before


@pytest.mark.parametrize("name", ["scan.jpg", "plan.PDF"])
def test_pictures_are_sent_to_underlay(run: Any, draw: Any, name: str) -> None:
    Path(name).write_bytes(b"%PDF-1.7")
    for files in ([name], [draw(), name]):
        error = " ".join(run("import", *files, "-o", "job.json", code=2).stderr.split())
        assert "pathproof underlay" in error
    assert not Path("job.json").exists()


def test_unit_that_is_none(run: Any, draw: Any) -> None:
    error = run("import", draw(), "-o", "job.json", "--unit", "inch", code=2).stderr
    assert "mm, cm, m, in, ft" in " ".join(error.split())


def test_plans_of_different_kinds_and_options_of_the_other_kind(
    run: Any, draw: Any, barn: Path
) -> None:
    assert "DXF files" in run("import", barn, draw(), "-o", "job.json", code=2).stderr
    assert "DXF files" in run("import", barn, barn, "-o", "job.json", code=2).stderr
    for option, value in (("--unit", "mm"), ("--not-walls", "X"), ("--storey-height", "3")):
        assert option in run("import", barn, "-o", "job.json", option, value, code=2).stderr
    assert not Path("job.json").exists()


def test_dwg_by_mistake(run: Any, tmp_path: Path) -> None:
    (tmp_path / "plan.dwg").write_bytes(b"AC1032" + bytes(100))
    assert "save it as DXF" in run("import", "plan.dwg", "-o", "job.json", code=1).stderr
