"""Models written with ifcopenshell's own API (ISO 16739): read, looked at by the page, and applied to joints."""

import io
import re
import sys
from collections import Counter
from collections.abc import Callable
from decimal import Decimal as D
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse

from office.importing import ifc, ifc_parts, ifc_reader
from office.importing.archive import Unreadable
from office.importing.ifc import read_model
from records.models import Joint, Route, Sheet, Work
from rules.route.geometry import shape_of_text
from rules.route.parts import Setting
from rules.route.shape import RouteShape
from rules.route.vector import Vector
from rules.units import MM_PER_INCH
from tests.builders import MembershipBuilder
from tests.hostile_bytes import watched
from tests.ifc_by_hand import told
from tests.ifc_models import IfcModel, write_shape
from tests.office.importing.pages import do, page_of, send
from tests.records.scene import Scene, open_job, plan
from tests.rules.route.generated import random_route

CI, SOAK = range(8), range(300)
MOST_MEMORY_KB = 256_000
SMALL = "start at E 100 N 200 EL 300\nrun north 1200\nelbow\nrun up 900\nopen end\n"


def laid(text: str, nps: str, schedule: str) -> RouteShape:
    shape = shape_of_text(text, Setting(nps, schedule))
    assert not shape.faults, f"{shape.faults[0]}\n{text}"
    return shape


def small(path: Path, schema: str = "IFC4", unit_mm: float = 1.0, system: str = "L-1") -> Path:
    model = IfcModel(schema, unit_mm)
    write_shape(model, laid(SMALL, "3", "40"), system)
    return model.write(path)


def comes_back(seed: int, folder: Path) -> int:
    """A random route, written as a model and read again: the same joints, cut lengths and places; how many joints."""
    text, nps, schedule = random_route(seed)
    # A model has no reinforcing pads; the rest of the route stands in it.
    meant = laid(text.replace(" pad 40", ""), nps, schedule)
    model = IfcModel()
    write_shape(model, meant, "L-1")
    found = read_model(model.write(folder / "route.ifc"), "SI")
    assert not found.unread, f"seed {seed}: {found.unread[0]}"
    assert [one.line for one in found.routes] == ["L-1"], f"seed {seed}"
    read = laid(found.routes[0].text, nps, schedule)
    assert Counter((one.kind, one.nps, one.schedule) for one in read.joints) == Counter(
        (one.kind, one.nps, one.schedule) for one in meant.joints
    ), f"seed {seed}"
    cuts = (sorted(one.cut_mm - one.allowance_mm for one in shape.pipes) for shape in (meant, read))
    for wanted, got in zip(*cuts, strict=True):
        assert abs(wanted - got) < D("0.05"), f"seed {seed}"
    spots = (sorted(one.at.floats() for one in shape.joints) for shape in (meant, read))
    for wanted_at, got_at in zip(*spots, strict=True):
        assert wanted_at == pytest.approx(got_at, abs=0.05), f"seed {seed}"
    return len(read.joints)


@pytest.mark.parametrize("seed", CI)
def test_a_model_of_a_route_gives_its_joints_back(seed: int, tmp_path: Path) -> None:
    assert comes_back(seed, tmp_path) > 0


@pytest.mark.soak
def test_hundreds_of_models_give_their_joints_back(tmp_path: Path) -> None:
    joints = sum(comes_back(seed, tmp_path) for seed in SOAK)
    print(f"{len(SOAK)} models, {joints} joints, all read back")
    assert joints > 5_000


@pytest.mark.parametrize("schema", ["IFC2X3", "IFC4", "IFC4X3"])
@pytest.mark.parametrize("unit_mm", [1.0, 25.4])
def test_every_schema_and_unit_of_length_reads_alike(schema: str, unit_mm: float, tmp_path: Path) -> None:
    if schema == "IFC2X3":
        path = old_form(tmp_path / "old.ifc", unit_mm)
    else:
        path = small(tmp_path / "small.ifc", schema, unit_mm)
    found = read_model(path, "SI")
    assert not found.unread
    assert found.routes[0].text.splitlines() == [
        "start at E 100 N 200 EL 300", "size DN 80 sch 40", "run north 1200", "elbow", "run up 900", "open end",
    ]  # fmt: skip
    assert (found.routes[0].line, found.routes[0].joints) == ("L-1", 2)


def old_form(path: Path, unit_mm: float) -> Path:
    """The same in IFC2X3, where only the type says that a flow segment is a pipe."""
    model = IfcModel("IFC2X3", unit_mm)
    reach = D("114")  # ASME B16.9: centre-to-end of a long-radius elbow NPS 3
    start, corner, far = (Vector(*map(D, one)) for one in ((100, 200, 300), (100, 1400, 300), (100, 1400, 1200)))
    before, after = corner - Vector(D(0), reach, D(0)), corner + Vector(D(0), D(0), reach)
    pipe_type = model.file.createIfcPipeSegmentType(GlobalId=_guid(), Name="Pipe", PredefinedType="RIGIDSEGMENT")
    bend_type = model.file.createIfcPipeFittingType(GlobalId=_guid(), Name="Elbow", PredefinedType="BEND")
    first, bend, last = (
        model.part(kind, name, system="L-1")
        for kind, name in (("IfcFlowSegment", "P1"), ("IfcFlowFitting", "E1"), ("IfcFlowSegment", "P2"))
    )
    for types, parts in ((pipe_type, [first, last]), (bend_type, [bend])):
        model.file.createIfcRelDefinesByType(GlobalId=_guid(), RelatedObjects=parts, RelatingType=types)
    for one in (first, last):
        model.pset(one, "Pset_Pipe", NominalDiameter=D(80), OuterDiameter=D("88.9"), InnerDiameter=D("77.92"))
    ports = [
        model.port(one, at)
        for one, at in ((first, start), (first, before), (bend, before), (bend, after), (last, after), (last, far))
    ]
    model.connect(ports[1], ports[2])
    model.connect(ports[3], ports[4])
    return model.write(path)


def _guid() -> str:
    from ifcopenshell.guid import new  # noqa: PLC0415

    return str(new())


def test_a_us_job_reads_whole_sixteenths_of_a_model_in_inches(tmp_path: Path) -> None:
    model = IfcModel(unit_mm=float(MM_PER_INCH))
    ends = (Vector(D(0), D(0), D(0)), Vector(D(0), 39 * MM_PER_INCH, D(0)))
    model.pipe("2", "80", *ends)
    assert "run north 3' 3\"" in read_model(model.write(tmp_path / "us.ifc"), "US").routes[0].text


def test_what_is_no_piping_is_counted_and_what_says_too_little_is_listed(tmp_path: Path) -> None:
    model = IfcModel()
    write_shape(model, laid(SMALL, "3", "40"), "L-1")
    model.part("IfcDuctSegment", "Duct")
    model.part("IfcPipeFitting", "Thing", predefined="NOTDEFINED")
    model.part("IfcPipeSegment", "Loose pipe")
    found = read_model(model.write(tmp_path / "mixed.ifc"), "SI")
    assert found.notices == ("Of other trades, and left out: 1 IfcDuctSegment.",)
    assert [one.part.partition(" (")[0] for one in found.unread] == ["Thing", "Loose pipe"]
    assert "no ports" in found.unread[1].why


# --- files that are none, or mean harm ---


def _cut(content: str) -> str:
    return content[: len(content) // 2]


def _far(content: str) -> str:
    return content.replace("IFCCARTESIANPOINT((100.,", "IFCCARTESIANPOINT((1.E300,")


def _in_a_ring(content: str) -> str:
    """A port's placement that is relative to itself."""
    place = content.index("IFCLOCALPLACEMENT(")
    number = content[:place].rstrip("= ").rpartition("#")[2]
    rest = content[place:]
    return content[:place] + rest.replace(rest[: rest.index(",")], f"IFCLOCALPLACEMENT(#{number}", 1)


def _deep(content: str) -> str:
    """Every port's placement hangs on a chain of 40,000."""
    chain = "".join(f"#{10**6 + n}=IFCLOCALPLACEMENT({f'#{10**6 + n - 1}' if n else '$'},$);\n" for n in range(40_000))
    content = re.sub(r"IFCLOCALPLACEMENT\(\$,", f"IFCLOCALPLACEMENT(#{10**6 + 39_999},", content)
    return content.replace("ENDSEC;\nEND-ISO", f"{chain}ENDSEC;\nEND-ISO")


def _of_itself(content: str) -> str:
    """A shape that is a map of itself, and one of maps that double eight times."""
    shapes = ["#2000000=IFCCARTESIANPOINT((0.,0.,0.));", "#2000001=IFCAXIS2PLACEMENT3D(#2000000,$,$);",
              "#2000002=IFCCARTESIANTRANSFORMATIONOPERATOR3D($,$,#2000000,1.,$);",
              "#2000003=IFCGEOMETRICREPRESENTATIONCONTEXT($,'Model',3,1.E-05,#2000001,$);"]  # fmt: skip
    for n in range(30):
        one, inner = 2_000_010 + 5 * n, 2_000_010 + 5 * (n + 1 if n < 29 else n)
        shapes.append(f"#{one}=IFCSHAPEREPRESENTATION(#2000003,'Body','MappedRepresentation',(#{one + 2},#{one + 3}));")
        shapes.append(f"#{one + 1}=IFCREPRESENTATIONMAP(#2000001,#{inner});")
        shapes += [f"#{one + 2 + k}=IFCMAPPEDITEM(#{one + 1},#2000002);" for k in (0, 1)]
    shapes.append("#2000004=IFCPRODUCTDEFINITIONSHAPE($,$,(#2000010));")
    shapes.append("#2000005=IFCPIPESEGMENT('2ooooooooooooooooooooo',$,'Loop',$,$,#2000006,#2000004,$,$);")
    shapes.append("#2000006=IFCLOCALPLACEMENT($,#2000001);")
    return content.replace("ENDSEC;\nEND-ISO", "\n".join(shapes) + "\nENDSEC;\nEND-ISO")


def _corners(content: str) -> str:
    """A cap whose body has 300,000 corners."""
    listed = ",".join(f"({n}.,{n % 7}.,0.)" for n in range(300_000))
    shapes = ["#2000000=IFCCARTESIANPOINT((0.,0.,0.));", "#2000001=IFCAXIS2PLACEMENT3D(#2000000,$,$);",
              "#2000003=IFCGEOMETRICREPRESENTATIONCONTEXT($,'Model',3,1.E-05,#2000001,$);",
              f"#2000007=IFCCARTESIANPOINTLIST3D(({listed}));", "#2000008=IFCTRIANGULATEDFACESET(#2000007,$,$,((1,2,3)),$);",
              "#2000009=IFCSHAPEREPRESENTATION(#2000003,'Body','Tessellation',(#2000008));",
              "#2000004=IFCPRODUCTDEFINITIONSHAPE($,$,(#2000009));", "#2000006=IFCLOCALPLACEMENT($,#2000001);",
              "#2000005=IFCPIPEFITTING('2ooooooooooooooooooooo',$,'Cap',$,$,#2000006,#2000004,$,.OBSTRUCTION.);",
              "#2000010=IFCDISTRIBUTIONPORT('3ooooooooooooooooooooo',$,$,$,$,#2000006,$,.NOTDEFINED.,.PIPE.,$);",
              "#2000011=IFCRELNESTS('4ooooooooooooooooooooo',$,$,$,#2000005,(#2000010));"]  # fmt: skip
    return content.replace("ENDSEC;\nEND-ISO", "\n".join(shapes) + "\nENDSEC;\nEND-ISO")


def _crowded(content: str) -> str:
    points = "".join(f"#{10**6 + one}=IFCCARTESIANPOINT(({one}.5,{one}.25,0.));\n" for one in range(500_000))
    return content.replace("ENDSEC;\nEND-ISO", f"{points}ENDSEC;\nEND-ISO")


HOSTILE: dict[str, tuple[Callable[[str], str], str]] = {
    "page behind a model's name": (lambda content: "<html><script>alert(1)</script></html>", "is no IFC file"),
    "other schema": (lambda content: content.replace("('IFC4')", "('AUTOMOTIVE_DESIGN')"), "IFC"),
    "header alone": (lambda content: "ISO-10303-21;\n", "no IFC file"),
    "no piping": (lambda content: content[: content.index("DATA;")] + "DATA;\nENDSEC;\nEND-ISO-10303-21;\n", "no piping"),
}  # fmt: skip
REASONS = {
    "placed by itself": "Its placement leads back to itself.",
    "placed through thousands": "It is placed through more than 1,000 placements",
    "a shape of itself": "Its shape is made of more items, or maps of maps, than are read.",
    "a cap of many corners": "Its size is not said",
}
HARMLESS = {
    "cut in the middle": _cut,
    "at the end of the world": _far,
    "placed by itself": _in_a_ring,
    "crowded": _crowded,
    "placed through thousands": _deep,
    "a shape of itself": _of_itself,
    "a cap of many corners": _corners,
}


@pytest.mark.parametrize("name", HOSTILE)
def test_what_is_no_model_is_named(name: str, tmp_path: Path) -> None:
    change, word = HOSTILE[name]
    path = small(tmp_path / "small.ifc")
    path.write_text(change(path.read_text()))
    with pytest.raises(Unreadable, match=word):
        read_model(path, "SI")


@pytest.mark.parametrize("name", HARMLESS)
def test_a_model_that_means_harm_is_refused_or_read_within_bounds(name: str, tmp_path: Path) -> None:
    path = small(tmp_path / "small.ifc")
    path.write_text(HARMLESS[name](path.read_text()))
    status, used = watched([sys.executable, "-m", "office.importing.ifc_reader", str(path)])
    assert used < MOST_MEMORY_KB, f"{used} kB"
    try:
        found = read_model(path, "SI")
    except Unreadable as fault:
        assert str(fault)
    else:
        assert status == 0
        assert all(one.joints <= 2 for one in found.routes)
        if name in REASONS:
            assert any(REASONS[name] in one.why for one in found.unread), found.unread


def test_a_model_that_is_too_large_is_refused_before_it_is_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(ifc, "MOST_BYTES", 1_000)
    with pytest.raises(Unreadable, match="large"):
        read_model(small(tmp_path / "small.ifc"), "SI")


def test_a_model_of_too_many_parts_is_refused_before_they_are_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = small(tmp_path / "small.ifc")
    monkeypatch.setattr(ifc_parts, "MOST_PARTS", 1)
    monkeypatch.setattr(ifc_parts._Reader, "_part", lambda *_: pytest.fail("a part is told"))
    assert told(path)["fault"].endswith("parts; at most 1 are read. Send one area alone")


def test_an_answer_that_grows_too_long_is_given_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = small(tmp_path / "small.ifc")
    told(path)
    monkeypatch.setattr(ifc_reader, "MOST_ANSWER", 500)
    with pytest.raises(MemoryError):
        told(path)


def test_a_reader_that_dies_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = small(tmp_path / "small.ifc")
    monkeypatch.setattr(sys, "executable", "/bin/false")
    with pytest.raises(Unreadable, match="too much memory or time"):
        read_model(path, "SI")


# --- the page, and the command ---


@pytest.fixture
def scene(db: None) -> Scene:
    return plan(*open_job(), joints=0)


@pytest.fixture
def engineer(client: Client, scene: Scene) -> Client:
    client.force_login(scene.engineer)
    return client


@pytest.fixture
def read(engineer: Client, scene: Scene, tmp_path: Path, storage: Path) -> Work:
    """A model of the scene's line that was sent in by the page, and read."""
    sheet = Sheet.objects.get(job=scene.job)
    path = small(tmp_path / "small.ifc", system=sheet.line.number)
    answer = send(engineer, scene.job, path.read_bytes(), "area 3.ifc")
    assert answer.status_code == 302, answer.content.decode()
    work = Work.objects.get(id=answer["Location"].rstrip("/").rpartition("/")[2])
    return do(work) if work.state == "queued" else work


def test_a_model_s_route_is_looked_at_on_its_sheet_and_applied(engineer: Client, scene: Scene, read: Work) -> None:
    sheet = Sheet.objects.get(job=scene.job)
    page = engineer.get(page_of(read)).content.decode()
    assert "1 route with 2 joints" in page
    assert f'value="{sheet.drawing}/{sheet.number}"' in page
    assert not Route.objects.exists() and not Joint.objects.exists()
    there = engineer.get(page_of(read), {"route": "1", "sheet": f"{sheet.drawing}/{sheet.number}"}, follow=True)
    shown = there.content.decode()
    assert there.context["is_looked_at"] and shown.count('<td data-label="becomes">new</td>') == 2
    said = {"text": there.context["text"], "base": there.context["proposal"].base, "do": "apply", "revision": "A"}
    assert engineer.post(reverse("route", args=[scene.job.code, sheet.pk]), said).status_code == 303
    assert [one.kind for one in Joint.objects.filter(job=scene.job)] == ["butt", "butt"]


def test_ends_that_merely_meet_are_listed_on_the_page(
    engineer: Client, scene: Scene, tmp_path: Path, storage: Path
) -> None:
    model = IfcModel()
    for ends in ((0, 1000), (1000, 3000)):
        model.pipe("3", "40", *(Vector(D(one), D(0), D(0)) for one in ends))
    answer = send(engineer, scene.job, model.write(tmp_path / "a.ifc").read_bytes(), "area.ifc")
    page = engineer.get(answer["Location"]).content.decode()
    assert "1 joint is taken as connected" in page and "<h2>Taken as connected</h2>" in page
    assert page.count("ends meet within 0.1 mm") == 1


def test_an_unknown_sheet_is_told_and_kept(engineer: Client, read: Work) -> None:
    answer = engineer.get(page_of(read), {"route": "1", "sheet": "ISO-404/1"})
    page = answer.content.decode()
    assert "There is no drawing sheet “ISO-404/1”" in page and 'value="ISO-404/1"' in page


@pytest.mark.parametrize("number", ["0", "2", "x", "", "-1", "99999999"])
def test_a_route_that_the_model_has_not_leaves_the_page_as_it_is(
    engineer: Client, scene: Scene, read: Work, number: str
) -> None:
    sheet = Sheet.objects.get(job=scene.job)
    answer = engineer.get(reverse("route", args=[scene.job.code, sheet.pk]), {"model": str(read.id), "number": number})
    assert answer.status_code == 200 and not answer.context["is_looked_at"]


def test_a_reader_of_the_job_sees_no_proposal(client: Client, scene: Scene, read: Work) -> None:
    client.force_login(MembershipBuilder(job=scene.job, role="client").user)
    sheet = Sheet.objects.get(job=scene.job)
    answer = client.get(reverse("route", args=[scene.job.code, sheet.pk]), {"model": str(read.id), "number": "1"})
    assert answer.status_code == 200 and not answer.context["is_looked_at"]
    assert client.get(page_of(read)).status_code == 403


def test_a_file_that_is_no_model_is_told_on_its_page(engineer: Client, scene: Scene, storage: Path) -> None:
    answer = send(engineer, scene.job, b"not a model", "area.ifc")
    page = engineer.get(answer["Location"]).content.decode()
    assert "Nothing was written: area.ifc is no IFC file" in page


def test_the_command_prints_the_routes_and_what_is_not_read(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    model = IfcModel()
    write_shape(model, laid(SMALL, "3", "40"), "L-1")
    model.part("IfcPipeSegment", "Loose pipe")
    out, err = io.StringIO(), io.StringIO()
    call_command("model_routes", str(model.write(tmp_path / "a.ifc")), stdout=out, stderr=err)
    assert "route 1, L-1, 2 joints" in out.getvalue() and "run north 1200" in out.getvalue()
    assert "not read: Loose pipe" in err.getvalue()
    with pytest.raises(CommandError, match="There is no file"):
        call_command("model_routes", str(tmp_path / "none.ifc"))
