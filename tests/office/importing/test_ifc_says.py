"""What single things of an IFC file say (ISO 16739): units, shapes, connections, welds; each file written by hand."""

import io
import json
from collections.abc import Callable
from decimal import Decimal as D
from pathlib import Path
from typing import Any

import ifcopenshell.api.geometry
import ifcopenshell.api.pset
import ifcopenshell.api.root
import ifcopenshell.guid
import numpy
import pytest

from office.importing import ifc
from office.importing.archive import Unreadable
from office.importing.ifc import read_model
from office.importing.ifc_reader import Unreadable as Untold
from office.importing.ifc_reader import read, write
from rules.route.from_model import Reading
from rules.route.vector import Vector
from tests.ifc_models import IfcModel

# ASME B16.11 Class 3000, NPS 1: a socket 12.5 mm deep. A cap of 35 mm over a pipe that ends at 300.
MOUTH, FACE = 287.5, 322.5


@pytest.fixture
def reading(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[IfcModel], Reading]:
    """Read a model here, not in a process of its own."""

    def told(path: Path) -> dict[str, Any]:
        try:
            out = io.StringIO()
            write(read(str(path)), out)
            return json.loads(out.getvalue())
        except Untold as fault:
            return {"fault": str(fault)}

    monkeypatch.setattr(ifc, "_told", told)
    return lambda model: read_model(model.write(tmp_path / "a.ifc"), "SI")


def at(east: float, north: float = 0, up: float = 0) -> Vector:
    return Vector(D(str(east)), D(str(north)), D(str(up)))


def lines(found: Reading) -> list[str]:
    return found.routes[0].text.splitlines()


def placed(model: IfcModel, product: Any, *place: float) -> Any:
    matrix = numpy.eye(4)
    matrix[:3, 3] = place
    ifcopenshell.api.geometry.edit_object_placement(model.file, product=product, matrix=matrix, is_si=False)
    return product


def shaped(model: IfcModel, product: Any, kind: str, *items: Any, name: str = "Body") -> None:
    context = model.file.createIfcGeometricRepresentationContext(None, "Model", 3, 1e-5, axes(model), None)
    shape = model.file.createIfcShapeRepresentation(context, name, kind, items)
    product.Representation = model.file.createIfcProductDefinitionShape(None, None, [shape])


def point(model: IfcModel, *place: float) -> Any:
    return model.file.createIfcCartesianPoint([float(one) for one in place])


def way(model: IfcModel, *ratios: float) -> Any:
    return model.file.createIfcDirection([float(one) for one in ratios])


def axes(model: IfcModel, place: tuple[float, ...] = (0, 0, 0), z: Any = None, x: Any = None) -> Any:
    directions = [None if one is None else way(model, *one) for one in (z, x)]
    return model.file.createIfcAxis2Placement3D(point(model, *place), *directions)


# --- units ---


def test_a_file_without_a_unit_of_length_is_refused(reading: Callable[[IfcModel], Reading]) -> None:
    model = IfcModel()
    model.pipe("3", "40", at(0), at(1000))
    units = model.file.by_type("IfcUnitAssignment")[0]
    units.Units = [one for one in units.Units if one.UnitType != "LENGTHUNIT"]
    with pytest.raises(Unreadable, match="doesn't say in which unit its lengths are"):
        reading(model)
    model.file.by_type("IfcProject")[0].UnitsInContext = None
    with pytest.raises(Unreadable, match="doesn't say in which unit its lengths are"):
        reading(model)


def test_units_of_length_that_differ_or_that_are_none_are_refused(reading: Callable[[IfcModel], Reading]) -> None:
    model = IfcModel()
    model.pipe("3", "40", at(0), at(1000))
    units = model.file.by_type("IfcUnitAssignment")[0]
    metre = model.file.createIfcSIUnit(None, "LENGTHUNIT", None, "METRE")
    units.Units = [*units.Units, metre]
    with pytest.raises(Unreadable, match="several units of length that differ"):
        reading(model)
    units.Units = [model.file.createIfcContextDependentUnit(None, "LENGTHUNIT", "ell")]
    with pytest.raises(Unreadable, match="neither a metre"):
        reading(model)


def test_a_unit_that_is_a_multiple_of_itself_is_refused(reading: Callable[[IfcModel], Reading]) -> None:
    model = IfcModel("IFC4", 25.4)
    model.pipe("3", "40", at(0), at(1000))
    inch = next(one for one in model.file.by_type("IfcConversionBasedUnit") if one.UnitType == "LENGTHUNIT")
    inch.ConversionFactor.UnitComponent = inch
    with pytest.raises(Unreadable, match="neither a metre"):
        reading(model)


def test_a_property_may_have_a_unit_of_its_own(reading: Callable[[IfcModel], Reading]) -> None:
    """3 inches in a file in mm; a wall of 0.549 cm."""
    model = IfcModel()
    part = model.part("IfcPipeSegment", "Pipe", predefined="RIGIDSEGMENT")
    for one in (at(0), at(1000)):
        model.port(part, one, "WELDED")
    inch = ifcopenshell.api.unit.add_conversion_based_unit(model.file, name="inch")
    centimetre = model.file.createIfcSIUnit(None, "LENGTHUNIT", "CENTI", "METRE")
    said = [("NominalDiameter", 3.0, inch), ("WallThickness", 0.549, centimetre)]
    properties = [
        model.file.createIfcPropertySingleValue(name, None, model.file.createIfcPositiveLengthMeasure(value), unit)
        for name, value, unit in said
    ]
    own = model.file.createIfcPropertySet(ifcopenshell.guid.new(), None, "Pipe", None, properties)
    model.file.createIfcRelDefinesByProperties(ifcopenshell.guid.new(), None, None, None, [part], own)
    assert lines(reading(model))[1:3] == ["size DN 80 sch 40", "run east 1000"]


def test_a_nominal_and_an_outside_diameter_that_are_two_pipes_are_listed(
    reading: Callable[[IfcModel], Reading],
) -> None:
    model = IfcModel()
    part = model.part("IfcPipeSegment", "Pipe")
    for one in (at(0), at(1000)):
        model.port(part, one, "WELDED")
    model.pset(part, "Pipe", NominalDiameter=D(80), OuterDiameter=D("60.3"))
    assert "Its nominal size is DN 80, and its outside diameter 60.3 mm" in reading(model).unread[0].why


def test_true_north_that_is_not_the_model_s_y_is_told(reading: Callable[[IfcModel], Reading]) -> None:
    model = IfcModel()
    model.pipe("3", "40", at(0), at(1000))
    north = model.file.createIfcDirection((0.5, 3**0.5 / 2))
    model.file.createIfcGeometricRepresentationContext(None, "Model", 3, 1e-5, axes(model), north)
    assert "True north lies 30.0° to the right of the model's y, which is read as north." in reading(model).notices


# --- the body of a socket-welding cap ---


def _extruded(model: IfcModel) -> Any:
    circle = model.file.createIfcCircleProfileDef("AREA", None, None, 20.0)
    return model.file.createIfcExtrudedAreaSolid(circle, axes(model), way(model, 0, 0, 1), 35.0)


def _cut(model: IfcModel) -> Any:
    inner = model.file.createIfcCircleProfileDef("AREA", None, None, 17.0)
    hole = model.file.createIfcExtrudedAreaSolid(inner, axes(model), way(model, 0, 0, 1), 12.5)
    return model.file.createIfcBooleanResult("DIFFERENCE", _extruded(model), hole)


def _box(model: IfcModel) -> Any:
    return model.file.createIfcBoundingBox(point(model, -20, -20, 0), 40.0, 40.0, 35.0)


def _mesh(model: IfcModel) -> Any:
    corners = [(x, y, z) for x in (-20.0, 20.0) for y in (-20.0, 20.0) for z in (0.0, 35.0)]
    return model.file.createIfcTriangulatedFaceSet(
        model.file.createIfcCartesianPointList3D(corners), None, True, [(1, 2, 3), (6, 7, 8)]
    )


def _brep(model: IfcModel) -> Any:
    faces = []
    for z in (0, 35):
        loop = model.file.createIfcPolyLoop([point(model, x, y, z) for x, y in ((20, 20), (-20, 20), (-20, -20))])
        faces.append(model.file.createIfcFace([model.file.createIfcFaceOuterBound(loop, True)]))
    return model.file.createIfcFacetedBrep(model.file.createIfcClosedShell(faces))


def _turned(model: IfcModel) -> Any:
    corners = [point(model, x, y) for x, y in ((0, 0), (20, 0), (20, 35), (0, 35), (0, 0))]
    outline = model.file.createIfcArbitraryClosedProfileDef("AREA", None, model.file.createIfcPolyline(corners))
    axis = model.file.createIfcAxis1Placement(point(model, 0, 0, 0), way(model, 0, 1, 0))
    stood = axes(model, (0, 0, 0), (0, -1, 0), (1, 0, 0))
    return model.file.createIfcRevolvedAreaSolid(outline, stood, axis, 360.0)


def _mapped(model: IfcModel) -> Any:
    context = model.file.createIfcGeometricRepresentationContext(None, "Model", 3, 1e-5, axes(model), None)
    inner = model.file.createIfcShapeRepresentation(context, "Body", "SweptSolid", [_extruded(model)])
    source = model.file.createIfcRepresentationMap(axes(model), inner)
    target = model.file.createIfcCartesianTransformationOperator3D(None, None, point(model, 0, 0, 0), 1.0, None)
    return model.file.createIfcMappedItem(source, target)


BODIES = {
    "extruded": _extruded,
    "cut": _cut,
    "box": _box,
    "mesh": _mesh,
    "brep": _brep,
    "turned": _turned,
    "mapped": _mapped,
}


def capped() -> tuple[IfcModel, Any]:
    """A pipe of DN 25 up into a cap that stands on the axis, its own zero at its mouth."""
    model = IfcModel()
    _, ends = model.pipe("1", "80", at(0), at(0, 0, 300))
    cap = placed(model, model.part("IfcPipeFitting", "Cap", predefined="OBSTRUCTION"), 0.0, 0.0, MOUTH)
    model.connect(ends[1], model.port(cap, at(0, 0, 300), "WELDED"))
    return model, cap


@pytest.mark.parametrize("name", BODIES)
def test_a_socket_welding_cap_reaches_as_far_as_its_body(name: str, reading: Callable[[IfcModel], Reading]) -> None:
    model, cap = capped()
    shaped(model, cap, "SolidModel", BODIES[name](model))
    found = reading(model)
    assert not found.unread, found.unread
    assert lines(found)[2:] == [f"run up {FACE}", "cap length 35"]


@pytest.mark.parametrize("named", ["quantity", "property"])
def test_or_as_its_length_says(named: str, reading: Callable[[IfcModel], Reading]) -> None:
    model, cap = capped()
    if named == "quantity":
        sets = ifcopenshell.api.pset.add_qto(model.file, product=cap, name="Qto_PipeFittingBaseQuantities")
        ifcopenshell.api.pset.edit_qto(model.file, qto=sets, properties={"Length": 35.0})
    else:
        model.pset(cap, "Cap", Length=D(35))
    found = reading(model)
    assert lines(found)[2:] == [f"run up {FACE}", "cap length 35"]
    assert any("as its property Length says" in one for one in found.notices)


def test_or_it_is_listed_with_what_is_missing(reading: Callable[[IfcModel], Reading]) -> None:
    model, cap = capped()
    sphere = model.file.createIfcSphere(axes(model), 20.0)
    shaped(model, cap, "CSG", sphere)
    assert "neither a body longer than its socket (12.5 mm) that can be measured" in reading(model).unread[0].why


# --- parts without ports ---


def _sized(model: IfcModel, part: Any) -> Any:
    model.pset(
        part, "Pset_PipeSegmentTypeCommon", NominalDiameter=D(80), OuterDiameter=D("88.9"), InnerDiameter=D("77.92")
    )
    return part


def bare_corner(elbow: str) -> IfcModel:
    """East 1000 to an elbow, north 700, of solids alone."""
    model, reach = IfcModel(), 114
    hollow = model.file.createIfcCircleHollowProfileDef("AREA", None, None, 44.45, 5.49)
    for start, ahead, long in (((0, 0, 0), (1, 0, 0), 1000 - reach), ((1000, reach, 0), (0, 1, 0), 700 - reach)):
        pipe = placed(model, _sized(model, model.part("IfcPipeSegment", "Pipe")), 0.0, 0.0, 0.0)
        stood = axes(model, start, ahead, (0, 0, 1))
        shaped(
            model,
            pipe,
            "SweptSolid",
            model.file.createIfcExtrudedAreaSolid(hollow, stood, way(model, 0, 0, 1), float(long)),
        )
    bend = placed(model, model.part("IfcPipeFitting", "Elbow", predefined="BEND"), 1000.0 - reach, 0.0, 0.0)
    if elbow == "turned":
        stood = axes(model, (0, 0, 0), (1, 0, 0), (0, 1, 0))
        axis = model.file.createIfcAxis1Placement(point(model, reach, 0, 0), way(model, 0, 1, 0))
        shaped(model, bend, "SweptSolid", model.file.createIfcRevolvedAreaSolid(hollow, stood, axis, 90.0))
    elif elbow == "disk":
        ends = [point(model, 0, 0, 0), point(model, reach, reach, 0)]
        circle = model.file.createIfcCircle(axes(model, (0, reach, 0)), float(reach))
        arc = model.file.createIfcTrimmedCurve(circle, [ends[0]], [ends[1]], True, "CARTESIAN")
        shaped(model, bend, "SweptSolid", model.file.createIfcSweptDiskSolid(arc, 44.45, 39.0, None, None))
    return model


@pytest.mark.parametrize("elbow", ["turned", "disk"])
def test_pipes_and_an_elbow_of_solids_alone_are_one_line(elbow: str, reading: Callable[[IfcModel], Reading]) -> None:
    found = reading(bare_corner(elbow))
    assert not found.unread, found.unread
    assert lines(found)[2:] == ["run east 1000", "elbow", "run north 700", "open end"]
    assert len(found.taken) == 2 and "The ends of 3 parts without ports are read from the shape." in found.notices


def test_a_shape_that_says_no_ends_is_listed_with_why(reading: Callable[[IfcModel], Reading]) -> None:
    found = reading(bare_corner("none"))
    assert [one.why for one in found.unread] == ["It has no ports, so that nothing says where it meets others."]
    model = bare_corner("none")
    bend = model.file.by_type("IfcPipeFitting")[0]
    shaped(model, bend, "SolidModel", _extruded(model), _extruded(model))
    assert "its body isn't one round solid" in reading(model).unread[0].why


# --- connections and welds ---


def two_pipes() -> tuple[IfcModel, list[Any]]:
    model = IfcModel()
    _, one = model.pipe("3", "40", at(0), at(1000))
    _, two = model.pipe("3", "40", at(1000), at(3000))
    model.connect(one[1], two[0])
    return model, [*one, *two]


def test_a_port_that_is_connected_to_two_others_is_listed(reading: Callable[[IfcModel], Reading]) -> None:
    model, ports = two_pipes()
    model.file.createIfcRelConnectsPorts(ifcopenshell.guid.new(), None, None, None, ports[1], ports[3], None)
    assert [one.why for one in reading(model).unread] == ["A port of it is connected to 2 others; accepted is one."]


def test_a_port_that_is_nested_and_related_at_once_is_one(reading: Callable[[IfcModel], Reading]) -> None:
    model, ports = two_pipes()
    for port in ports:
        part = port.Nests[0].RelatingObject
        model.file.createIfcRelConnectsPortToElement(ifcopenshell.guid.new(), None, None, None, port, part)
    assert lines(reading(model))[2:] == ["run east 1000", "shop weld", "run east 2000", "open end"]


def test_two_parts_of_one_globalid_are_two(reading: Callable[[IfcModel], Reading]) -> None:
    model, ports = two_pipes()
    for group in (model.file.by_type("IfcPipeSegment"), ports):
        for one in group:
            one.GlobalId = group[0].GlobalId
    assert lines(reading(model))[2:] == ["run east 1000", "shop weld", "run east 2000", "open end"]


def test_a_realizing_weld_between_parts_says_field(reading: Callable[[IfcModel], Reading]) -> None:
    model, _ = two_pipes()
    pipes = model.file.by_type("IfcPipeSegment")
    weld = ifcopenshell.api.root.create_entity(
        model.file, ifc_class="IfcFastener", name="FW-12", predefined_type="WELD"
    )
    model.pset(weld, "Made", WeldLocation="Site")
    model.file.createIfcRelConnectsWithRealizingElements(
        ifcopenshell.guid.new(), None, None, None, None, *pipes, [weld], None
    )
    found = reading(model)
    assert lines(found)[2:4] == ["run east 1000", "field weld"]
    assert any("1 field weld" in one for one in found.notices)


def test_bolts_and_a_weld_that_joins_nothing(reading: Callable[[IfcModel], Reading]) -> None:
    model, _ = two_pipes()
    ifcopenshell.api.root.create_entity(model.file, ifc_class="IfcMechanicalFastener", name="Stud bolts")
    astray = ifcopenshell.api.root.create_entity(model.file, ifc_class="IfcBuildingElementProxy", name="Field weld 3")
    assert "neither where it is nor what it joins" in reading(model).unread[0].why
    placed(model, astray, 1000.0, 0.0, 6.0)
    assert "0 joints lie within 5 mm" in reading(model).unread[0].why
    placed(model, astray, 1000.0, 0.0, 4.0)
    assert "field weld" in lines(reading(model))
