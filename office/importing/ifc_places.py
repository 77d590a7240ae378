"""Where the things of an IFC file stand: chains of placements, each relative to the next, as one matrix in mm."""

from typing import Any, Final

import numpy

_DEEPEST: Final = 1_000
_SQUARE: Final = 1e-9
_NOWHERE: Final = "Its placement has axes that point nowhere."
Matrix = Any


class Astray(Exception):
    """A place that can't be told, in a sentence."""


class Places:
    """Placements of one file; what others are relative to is worked out once."""

    def __init__(self, mm: float) -> None:
        self.mm = mm
        self._known: dict[int, Matrix] = {}

    def matrix(self, placement: Any) -> Matrix:
        """Where a placement puts its origin and axes, in the file's own unit. Raises Astray"""
        chain, seen = list[Any](), set[int]()
        while placement is not None and placement.id() not in self._known:
            if placement.id() in seen:
                raise Astray("Its placement leads back to itself.")
            if len(chain) >= _DEEPEST:
                raise Astray(f"It is placed through more than {_DEEPEST:,} placements, each relative to the next.")
            if not placement.is_a("IfcLocalPlacement"):
                raise Astray("It is placed on a grid or along an alignment; accepted are placements by coordinates.")
            seen.add(placement.id())
            chain.append(placement)
            placement = placement.PlacementRelTo
        found = numpy.eye(4) if placement is None else self._known[placement.id()]
        for one in reversed(chain):
            found = found @ axes_of(one.RelativePlacement)
            if one is not chain[0]:
                self._known[one.id()] = found
        return found

    def at(self, matrix: Matrix) -> list[float]:
        """The origin of a matrix in mm."""
        return [float(matrix[row][3]) * self.mm for row in range(3)]


def axes_of(placement: Any) -> Matrix:
    """The matrix of a placement by a point and axes. Raises Astray where its axes are none

    Source    ISO 16739, IfcBuildAxes and IfcFirstProjAxis (from memory): the z axis holds, x is made square to it
    """
    found = numpy.eye(4)
    if placement is None:
        return found
    coordinates = getattr(placement.Location, "Coordinates", None)
    if coordinates is None:
        raise Astray("It is placed along an alignment; accepted are placements by coordinates.")
    axis = getattr(placement, "Axis", None)
    aside = getattr(placement, "RefDirection", None)
    if axis or aside:
        found[:3, :3] = _frame(*(_three(one.DirectionRatios) if one else None for one in (axis, aside)))
    found[:3, 3] = _three(coordinates)
    if not numpy.isfinite(found).all():
        raise Astray(_NOWHERE)
    return found


def _three(values: Any) -> Any:
    """Coordinates of two or three figures as three."""
    return numpy.array([*map(float, values), 0.0, 0.0][:3] if len(values) < 3 else [*map(float, values[:3])])


def _frame(axis: Any, aside: Any) -> Any:
    """Three square axes as columns."""
    z = _unit(numpy.array((0.0, 0.0, 1.0)) if axis is None else axis)
    if aside is None:
        aside = numpy.array((0.0, 0.0, 1.0) if abs(z[0]) > 1 - _SQUARE else (1.0, 0.0, 0.0))
    x = _unit(aside - aside.dot(z) * z)
    return numpy.column_stack((x, numpy.cross(z, x), z))


def _unit(vector: Any) -> Any:
    length = float(numpy.linalg.norm(vector))
    if not length > _SQUARE or not numpy.isfinite(length):
        raise Astray(_NOWHERE)
    return vector / length


def mapped(item: Any) -> Matrix:
    """The matrix by which a mapped item brings its source to where it stands. Raises Astray"""
    target = item.MappingTarget
    if not target.is_a("IfcCartesianTransformationOperator3D"):
        raise Astray("Its shape is mapped in a plane.")
    if not numpy.allclose(axes_of(item.MappingSource.MappingOrigin), numpy.eye(4), atol=1e-9):
        raise Astray("Its shape is mapped about an origin of its own; accepted is the zero of the shape.")
    first, third = (getattr(target, name) for name in ("Axis1", "Axis3"))
    found = numpy.eye(4)
    turned = _frame(_three(third.DirectionRatios) if third else None, _three(first.DirectionRatios) if first else None)
    scales = [1.0 if target.Scale is None else target.Scale] * 3
    if target.is_a("IfcCartesianTransformationOperator3DnonUniform"):
        scales[1:] = [scales[0] if one is None else one for one in (target.Scale2, target.Scale3)]
    if target.Axis2 is not None and turned[:, 1].dot(_three(target.Axis2.DirectionRatios)) < 0:
        scales[1] = -scales[1]
    found[:3, :3] = turned * numpy.array(scales)
    found[:3, 3] = _three(target.LocalOrigin.Coordinates)
    if not numpy.isfinite(found).all() or not abs(numpy.linalg.det(found[:3, :3])) > _SQUARE**2:
        raise Astray(_NOWHERE)
    return found
