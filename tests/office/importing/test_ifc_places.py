"""Placements of an IFC file: their axes made square, chains that can't be followed, maps."""

from typing import Any

import ifcopenshell
import numpy
import pytest

from office.importing.ifc_places import Astray, Places, axes_of, mapped


@pytest.fixture
def file() -> Any:
    return ifcopenshell.file(schema="IFC4")


def axes(file: Any, z: Any = None, x: Any = None, at: Any = (1.0, 2.0, 3.0)) -> Any:
    ways = [None if one is None else file.createIfcDirection([float(value) for value in one]) for one in (z, x)]
    return file.createIfcAxis2Placement3D(file.createIfcCartesianPoint(at), *ways)


@pytest.mark.parametrize(
    ("z", "x", "columns"),
    [
        (None, None, [(1, 0, 0), (0, 1, 0), (0, 0, 1)]),
        ((0, 0, 2), (0, 3, 0), [(0, 1, 0), (-1, 0, 0), (0, 0, 1)]),
        # The z axis holds; what is given for x is brought square to it.
        ((0, 0, 1), (1, 0, 1), [(1, 0, 0), (0, 1, 0), (0, 0, 1)]),
        ((0, 1, 0), None, [(1, 0, 0), (0, 0, -1), (0, 1, 0)]),
        ((1, 0, 0), None, [(0, 0, 1), (0, -1, 0), (1, 0, 0)]),
    ],
)
def test_the_axes_of_a_placement_are_square(file: Any, z: Any, x: Any, columns: list[tuple[int, ...]]) -> None:
    found = axes_of(axes(file, z, x))
    assert found[:3, 3].tolist() == [1, 2, 3]
    assert pytest.approx(numpy.array(columns)) == found[:3, :3].T


@pytest.mark.parametrize(("z", "x"), [((0, 0, 0), None), ((0, 0, 1), (0, 0, 5)), (None, (0, 0, 0))])
def test_axes_that_point_nowhere_are_told(file: Any, z: Any, x: Any) -> None:
    with pytest.raises(Astray, match="axes that point nowhere"):
        axes_of(axes(file, z, x))


def test_a_chain_is_followed_and_one_without_an_end_is_told(file: Any) -> None:
    places, one = Places(25.4), None
    for _ in range(1000):
        one = file.createIfcLocalPlacement(one, axes(file, at=(1.0, 0.0, 0.0)))
    assert places.at(places.matrix(one)) == pytest.approx([25_400, 0, 0])
    deeper = file.createIfcLocalPlacement(one, axes(file, at=(1.0, 0.0, 0.0)))
    with pytest.raises(Astray, match="more than 1,000 placements"):
        Places(1.0).matrix(deeper)
    ring = file.createIfcLocalPlacement(None, axes(file))
    ring.PlacementRelTo = file.createIfcLocalPlacement(ring, axes(file))
    with pytest.raises(Astray, match="leads back to itself"):
        places.matrix(ring)


def test_a_place_on_a_grid_is_told(file: Any) -> None:
    with pytest.raises(Astray, match="on a grid or along an alignment"):
        Places(1.0).matrix(file.createIfcGridPlacement())


def item(file: Any, origin: Any = None, scale: float | None = 2.0, y: Any = None) -> Any:
    source = file.createIfcRepresentationMap(origin or axes(file, at=(0.0, 0.0, 0.0)), None)
    x, y = file.createIfcDirection((0.0, 1.0, 0.0)), None if y is None else file.createIfcDirection(y)
    at = file.createIfcCartesianPoint((5.0, 0.0, 0.0))
    return file.createIfcMappedItem(source, file.createIfcCartesianTransformationOperator3D(x, y, at, scale, None))


def test_a_map_turns_scales_moves_and_mirrors(file: Any) -> None:
    point = numpy.array((1.0, 1.0, 1.0, 1.0))
    assert (mapped(item(file)) @ point)[:3].tolist() == [3, 2, 2]
    assert (mapped(item(file, scale=None)) @ point)[:3].tolist() == [4, 1, 1]
    assert (mapped(item(file, y=(1.0, 0.0, 0.0))) @ point)[:3].tolist() == [7, 2, 2]


def test_a_map_about_an_origin_of_its_own_or_to_nothing_is_told(file: Any) -> None:
    with pytest.raises(Astray, match="origin of its own"):
        mapped(item(file, axes(file)))
    with pytest.raises(Astray, match="point nowhere"):
        mapped(item(file, scale=0.0))
