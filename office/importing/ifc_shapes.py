"""What the shape of a part in an IFC file says: its ends where it has no ports, its reach, the circle of its pipe."""

from collections.abc import Iterator
from math import cos, pi, sin
from typing import Any, Final

import numpy

from office.importing.ifc_places import Astray, Matrix, axes_of, mapped

_MOST_ITEMS: Final = 500
_MOST_POINTS: Final = 50_000
_DEEPEST_MAP: Final = 8
_WAYS: Final = 200
# In the file's own unit, relative to the size of the shape: where one line ends on another.
_ON_LINE: Final = 1e-6
End = tuple[Any, Any]


def items(element: Any, *identifiers: str) -> Iterator[tuple[Any, Matrix]]:
    """The items of a part's shape with the matrix that brings each into the part's own frame. Raises Astray"""
    shape = getattr(element, "Representation", None)
    waiting = [
        (item, numpy.eye(4), 0)
        for one in (shape.Representations if shape is not None else ())
        if not identifiers or (one.RepresentationIdentifier or "Body") in identifiers
        for item in one.Items
    ]
    count = 0
    while waiting:
        item, matrix, depth = waiting.pop()
        count += 1
        if count > _MOST_ITEMS or depth > _DEEPEST_MAP:
            raise Astray("Its shape is made of more items, or maps of maps, than are read.")
        if item.is_a("IfcMappedItem"):
            inner = matrix @ mapped(item)
            waiting += [(one, inner, depth + 1) for one in item.MappingSource.MappedRepresentation.Items]
        elif item.is_a("IfcGeometricSet"):
            waiting += [(one, matrix, depth + 1) for one in item.Elements]
        elif item.is_a("IfcBooleanResult"):
            # What is taken off leaves the first; nothing is added to one that is cut.
            if item.Operator == "DIFFERENCE":
                waiting.append((item.FirstOperand, matrix, depth + 1))
        else:
            yield item, matrix


# --- the circle that a pipe is made of ---


def circle(element: Any, type_of: Any, materials: Any) -> tuple[float | None, float | None]:
    """Outside diameter and wall of the hollow circle that a pipe is made of, in the file's unit; else nothing."""
    for profile in _profiles(element, type_of, materials):
        if profile is not None and profile.is_a("IfcCircleHollowProfileDef"):
            return 2 * profile.Radius, profile.WallThickness
    return None, None


def _profiles(element: Any, type_of: Any, materials: Any) -> Iterator[Any]:
    for one in (element, type_of):
        material = materials(one, should_skip_usage=True) if one is not None else None
        if material is not None and material.is_a("IfcMaterialProfileSet"):
            yield from (layer.Profile for layer in material.MaterialProfiles)
        elif material is not None and material.is_a("IfcMaterialProfile"):
            yield material.Profile
    try:
        for item, matrix in items(element):
            if item.is_a("IfcSweptAreaSolid") and _keeps_size(matrix):
                yield item.SweptArea
    except Astray:
        return


def _keeps_size(matrix: Matrix) -> bool:
    return bool(numpy.allclose(numpy.linalg.norm(matrix[:3, :3], axis=0), 1.0, atol=1e-9))


# --- the ends of a part without ports ---


def ends(element: Any, radian: float | None) -> list[End]:
    """The ends of a part by its axis, or else by the one round solid that its body is: place, and direction or None.

    radian  how many radians the file's unit of angles has; None where it names none
    Raises  Astray where its shape says none
    """
    curves = [(item, matrix) for item, matrix in items(element, "Axis") if item.is_a("IfcCurve")]
    if curves:
        return _free_ends([[_brought(end, matrix) for end in _curve_ends(item)] for item, matrix in curves])
    solids = list(items(element, "Body"))
    if len(solids) != 1:
        raise Astray("It has no ports, and its shape says no ends: it has no axis, and its body isn't one round solid.")
    item, matrix = solids[0]
    return [_brought(end, matrix) for end in _solid_ends(item, radian)]


def _brought(end: End, matrix: Matrix) -> End:
    at, way = end
    return (matrix @ numpy.append(at, 1.0))[:3], None if way is None else matrix[:3, :3] @ way


def _free_ends(lines: list[list[End]]) -> list[End]:
    """The ends of some lines, less those that lie on another of the lines: there they branch off."""
    size = max((float(numpy.linalg.norm(one[1][0] - one[0][0])) for one in lines), default=0.0)
    found = []
    for place, line in enumerate(lines):
        others = [one for index, one in enumerate(lines) if index != place]
        found += [end for end in line if not any(_is_on(end[0], one, size * _ON_LINE) for one in others)]
    return found


def _is_on(at: Any, line: list[End], near: float) -> bool:
    start, end = line[0][0], line[1][0]
    along = end - start
    length = float(numpy.linalg.norm(along))
    if not length:
        return False
    share = min(1.0, max(0.0, float((at - start).dot(along)) / length**2))
    return float(numpy.linalg.norm(at - start - share * along)) <= near


def _curve_ends(curve: Any) -> list[End]:
    """Both ends of a curve, each with the direction along the curve there. Raises Astray"""
    if curve.is_a("IfcPolyline"):
        points = [_point(one) for one in curve.Points]
    elif curve.is_a("IfcIndexedPolyCurve"):
        listed = [numpy.array([*one, 0.0][:3]) for one in curve.Points.CoordList]
        points = _indexed(curve, listed)
    elif curve.is_a("IfcTrimmedCurve"):
        return _trimmed(curve)
    elif curve.is_a("IfcCompositeCurve") and len(curve.Segments) == 1:
        return _curve_ends(curve.Segments[0].ParentCurve)
    else:
        raise Astray(f"Its axis is a curve that isn't read ({curve.is_a()}).")
    if len(points) < 2:
        raise Astray("Its axis has no length.")
    return [(points[0], points[1] - points[0]), (points[-1], points[-1] - points[-2])]


def _indexed(curve: Any, listed: list[Any]) -> list[Any]:
    if any(one.is_a("IfcArcIndex") for one in curve.Segments or ()):
        raise Astray("Its axis is a curve that isn't read (an arc by points).")
    if not curve.Segments:
        return listed
    order = [index - 1 for one in curve.Segments for index in one.wrappedValue]
    if not all(0 <= index < len(listed) for index in order):
        raise Astray("Its axis names points that it has not.")
    return [listed[index] for index in order]


def _point(one: Any) -> Any:
    return numpy.array([*one.Coordinates, 0.0, 0.0][:3], dtype=float)


def _trimmed(curve: Any) -> list[End]:
    """A line between two points, or the arc of a circle between two angles or points."""
    basis, trims = curve.BasisCurve, (curve.Trim1, curve.Trim2)
    points: list[Any] = [next((_point(one) for one in trim if one.is_a("IfcCartesianPoint")), None) for trim in trims]
    figures = [next((one.wrappedValue for one in trim if not one.is_a("IfcCartesianPoint")), None) for trim in trims]
    if basis.is_a("IfcLine"):
        way = numpy.array([*basis.Dir.Orientation.DirectionRatios, 0.0][:3], dtype=float)
        way *= basis.Dir.Magnitude / numpy.linalg.norm(way)
        for place in (0, 1):
            if points[place] is None:
                points[place] = _point(basis.Pnt) + figures[place] * way
        return [(one, points[1] - points[0]) for one in points]
    if basis.is_a("IfcCircle") and all(one is not None for one in points):
        frame = axes_of(basis.Position)
        turn = 1 if curve.SenseAgreement else -1
        return [(one, turn * numpy.cross(frame[:3, 2], one - frame[:3, 3])) for one in points]
    raise Astray("Its axis is a curve that isn't read: accepted are lines, and arcs between two points.")


def _solid_ends(item: Any, radian: float | None) -> list[End]:
    """Both ends of a round solid: an extruded circle, a swept disk, or a circle turned about an axis."""
    if item.is_a("IfcSweptDiskSolid"):
        return _curve_ends(item.Directrix)
    if not item.is_a("IfcSweptAreaSolid") or not item.SweptArea.is_a("IfcCircleProfileDef"):
        raise Astray("It has no ports, and its shape says no ends: it has no axis, and its body isn't one round solid.")
    frame = axes_of(item.Position)
    centre = axes_of(item.SweptArea.Position)[:3, 3]
    if item.is_a("IfcExtrudedAreaSolid"):
        way = _direction(item.ExtrudedDirection)
        return [_brought((one, way), frame) for one in (centre, centre + way * item.Depth)]
    if item.is_a("IfcRevolvedAreaSolid"):
        pivot, axis = _point(item.Axis.Location), _direction(item.Axis.Axis)
        found = []
        for angle in (0.0, item.Angle * _known(radian)):
            arm = _turned(centre - pivot, axis, angle)
            found.append(_brought((pivot + arm, numpy.cross(axis, arm)), frame))
        return found
    raise Astray("It has no ports, and its body is swept in a way that isn't read.")


def _direction(one: Any) -> Any:
    way = numpy.array([*one.DirectionRatios, 0.0][:3], dtype=float)
    return way / numpy.linalg.norm(way)


def _turned(vector: Any, axis: Any, angle: float) -> Any:
    """A vector turned about an axis by an angle in radians."""
    return vector * cos(angle) + numpy.cross(axis, vector) * sin(angle) + axis * axis.dot(vector) * (1 - cos(angle))


def _known(radian: float | None) -> float:
    if radian is None:
        raise Astray("Its shape is turned by an angle, and the file doesn't say in which unit its angles are.")
    return radian


# --- how far a part reaches ---


def reach(element: Any, ways: list[Any], radian: float | None) -> list[Any]:
    """Points of a part's body that lie farthest out: in some ways, along the axes and all round. Raises Astray"""
    found = [
        (matrix @ numpy.append(one, 1.0))[:3]
        for item, matrix in items(element, "Body", "Box")
        for one in _points(item, radian)
    ]
    if not found:
        return []
    points = numpy.array(found)
    chosen = {int(numpy.argmax(points @ way)) for way in (*ways, *(-one for one in ways), *_all_round())}
    return [points[index] for index in sorted(chosen)]


def _all_round() -> Iterator[Any]:
    for axis in range(3):
        for sign in (1.0, -1.0):
            yield numpy.eye(3)[axis] * sign
    for place in range(_WAYS):
        up = 1 - 2 * (place + 0.5) / _WAYS
        aside, turn = (1 - up * up) ** 0.5, place * pi * (3 - 5**0.5)
        yield numpy.array((aside * cos(turn), aside * sin(turn), up))


def _points(item: Any, radian: float | None) -> list[Any]:
    if item.is_a("IfcBoundingBox"):
        low, sides = _point(item.Corner), (item.XDim, item.YDim, item.ZDim)
        return [low + numpy.array((x, y, z)) * sides for x in (0, 1) for y in (0, 1) for z in (0, 1)]
    if item.is_a("IfcTessellatedFaceSet"):
        found = item.Coordinates.CoordList
        return [numpy.array(one) for one in _few(found)]
    if item.is_a("IfcManifoldSolidBrep"):
        return [_point(one) for one in _few(_vertices(item.Outer))]
    if item.is_a("IfcFaceBasedSurfaceModel"):
        return [_point(one) for one in _few([one for shell in item.FbsmFaces for one in _vertices(shell)])]
    if item.is_a("IfcShellBasedSurfaceModel"):
        return [_point(one) for one in _few([one for shell in item.SbsmBoundary for one in _vertices(shell)])]
    if item.is_a("IfcExtrudedAreaSolid"):
        outline, frame = _outline(item.SweptArea), axes_of(item.Position)
        far = _direction(item.ExtrudedDirection) * item.Depth
        return [_brought((one + far * end, None), frame)[0] for one in outline for end in (0, 1)]
    if item.is_a("IfcRevolvedAreaSolid"):
        outline, frame = _outline(item.SweptArea), axes_of(item.Position)
        pivot, axis = _point(item.Axis.Location), _direction(item.Axis.Axis)
        steps = [item.Angle * _known(radian) * share / 8 for share in range(9)]
        turned = [pivot + _turned(one - pivot, axis, angle) for one in outline for angle in steps]
        return [_brought((one, None), frame)[0] for one in turned]
    raise Astray(f"Its body is of a kind that isn't measured ({item.is_a()}).")


def _few(points: Any) -> Any:
    if len(points) > _MOST_POINTS:
        raise Astray(f"Its body has more than {_MOST_POINTS:,} corners.")
    return points


def _vertices(shell: Any) -> list[Any]:
    found = []
    for face in shell.CfsFaces:
        for bound in face.Bounds:
            if not bound.Bound.is_a("IfcPolyLoop"):
                raise Astray("Its body has faces that aren't measured: accepted are flat ones by their corners.")
            found += _few(bound.Bound.Polygon)
            _few(found)
    return found


def _outline(profile: Any) -> list[Any]:
    """Points round a profile."""
    frame = axes_of(getattr(profile, "Position", None))
    if profile.is_a("IfcCircleProfileDef"):
        angles = [place * pi / 16 for place in range(32)]
        flat = [(profile.Radius * cos(one), profile.Radius * sin(one)) for one in angles]
    elif profile.is_a("IfcRectangleProfileDef"):
        x, y = profile.XDim / 2, profile.YDim / 2
        flat = [(x, y), (x, -y), (-x, y), (-x, -y)]
    elif profile.is_a("IfcArbitraryClosedProfileDef") and profile.OuterCurve.is_a("IfcPolyline"):
        flat = [one.Coordinates[:2] for one in _few(profile.OuterCurve.Points)]
    elif profile.is_a("IfcArbitraryClosedProfileDef") and profile.OuterCurve.is_a("IfcIndexedPolyCurve"):
        flat = [one[:2] for one in _few(profile.OuterCurve.Points.CoordList)]
    else:
        raise Astray(f"Its body has an outline that isn't measured ({profile.is_a()}).")
    return [(frame @ numpy.array((*one, 0.0, 1.0)))[:3] for one in flat]
