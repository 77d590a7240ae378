"""What the shape of a part in an IFC file says: how far a cap reaches, and the ends of a part without ports."""

from collections.abc import Callable
from decimal import Decimal as D
from pathlib import Path
from typing import Any

import ifcopenshell.api.pset
import pytest

from rules.route.from_model import Reading
from tests.ifc_by_hand import at, axes, lines, placed, point, reader, shaped, sized, way
from tests.ifc_models import IfcModel

# ASME B16.11 Class 3000, NPS 1: a socket 12.5 mm deep. A cap of 35 mm over a pipe that ends at 300.
MOUTH, FACE = 287.5, 322.5


@pytest.fixture
def reading(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[IfcModel], Reading]:
    return reader(tmp_path, monkeypatch)


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


def bare_corner(elbow: str) -> IfcModel:
    """East 1000 to an elbow, north 700, of solids alone."""
    model, reach = IfcModel(), 114
    hollow = model.file.createIfcCircleHollowProfileDef("AREA", None, None, 44.45, 5.49)
    for start, ahead, long in (((0, 0, 0), (1, 0, 0), 1000 - reach), ((1000, reach, 0), (0, 1, 0), 700 - reach)):
        pipe = placed(model, sized(model, model.part("IfcPipeSegment", "Pipe")), 0.0, 0.0, 0.0)
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
