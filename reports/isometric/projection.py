"""The isometric projection of ISO 5456-3: three axes at 120 degrees, lengths along them unchanged, seen from above.

North points up to the right and east down to the right, so that the turn from east to north is counter-clockwise, as it
is seen from above: a right-handed picture. Lengths are not shortened by the factor of a true projection; common
practice for piping.
"""

from math import cos, pi, sin
from typing import Final

from reports.drawing import Point
from reports.isometric.drawn import Place

ACROSS: Final = cos(pi / 6)
DOWN: Final = sin(pi / 6)
AXES: Final[tuple[Place, Place, Place]] = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


def project(place: Place) -> Point:
    """The point of the sheet, right and down, for a place east, north and up."""
    east, north, up = place
    return (east + north) * ACROSS, (east - north) * DOWN - up


def nearness(place: Place) -> float:
    """How near a place is to the eye, which is south-east and above; the greater is in front."""
    east, north, up = place
    return east - north + up


def along(start: Place, end: Place) -> int | None:
    """The axis along which two places lie (0 east, 1 north, 2 up), or none for a skew run."""
    apart = [axis for axis in range(3) if abs(start[axis] - end[axis]) > 0.005]
    return apart[0] if len(apart) == 1 else None
