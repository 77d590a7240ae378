"""Shapes and places of an IFC file, written by hand, and a reader of what was written that needs no process of its own."""

import io
import json
from collections.abc import Callable
from decimal import Decimal as D
from pathlib import Path
from typing import Any

import ifcopenshell.api.geometry
import numpy
import pytest

from office.importing import ifc
from office.importing.ifc import read_model
from office.importing.ifc_reader import Unreadable as Untold
from office.importing.ifc_reader import read, write
from rules.route.from_model import Reading
from rules.route.vector import Vector
from tests.ifc_models import IfcModel


def told(path: Path) -> dict[str, Any]:
    """What the reader tells of a file."""
    out = io.StringIO()
    try:
        write(read(str(path)), out)
    except Untold as fault:
        return {"fault": str(fault)}
    return json.loads(out.getvalue())


def reader(folder: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[IfcModel], Reading]:
    """Writes a model and reads it."""
    monkeypatch.setattr(ifc, "_told", told)
    return lambda model: read_model(model.write(folder / "a.ifc"), "SI")


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


def sized(model: IfcModel, part: Any) -> Any:
    model.pset(
        part, "Pset_PipeSegmentTypeCommon", NominalDiameter=D(80), OuterDiameter=D("88.9"), InnerDiameter=D("77.92")
    )
    return part
