"""A place or a direction in space: east, north and up, right-handed, in exact decimals."""

from dataclasses import dataclass
from decimal import Decimal
from math import atan2, degrees


@dataclass(frozen=True, slots=True)
class Vector:
    """A place in mm from the plant's zero, or a direction of length 1; `up` of a place is its elevation.

    East x north = up: the frame is right-handed. Figures are decimals: along the axes they add up exactly, and
    direction cosines are right to some 25 figures. `floats()` for drawing.
    """

    east: Decimal
    north: Decimal
    up: Decimal

    def __add__(self, other: "Vector") -> "Vector":
        return Vector(self.east + other.east, self.north + other.north, self.up + other.up)

    def __sub__(self, other: "Vector") -> "Vector":
        return Vector(self.east - other.east, self.north - other.north, self.up - other.up)

    def __neg__(self) -> "Vector":
        return Vector(-self.east, -self.north, -self.up)

    def times(self, factor: Decimal) -> "Vector":
        """The vector stretched by a factor."""
        return Vector(self.east * factor, self.north * factor, self.up * factor)

    def dot(self, other: "Vector") -> Decimal:
        """The scalar product."""
        return self.east * other.east + self.north * other.north + self.up * other.up

    def cross(self, other: "Vector") -> "Vector":
        """The vector product, right-handed."""
        return Vector(
            self.north * other.up - self.up * other.north,
            self.up * other.east - self.east * other.up,
            self.east * other.north - self.north * other.east,
        )

    def length(self) -> Decimal:
        """The length; exact along an axis."""
        parts = [abs(one) for one in self.parts() if one]
        return parts[0] if len(parts) == 1 else self.dot(self).sqrt()

    def unit(self) -> "Vector":
        """The direction of length 1. Raises ValueError for a vector without length."""
        length = self.length()
        if not length:
            raise ValueError("A vector without length has no direction.")
        return Vector(self.east / length, self.north / length, self.up / length)

    def parts(self) -> tuple[Decimal, Decimal, Decimal]:
        """East, north and up."""
        return self.east, self.north, self.up

    def floats(self) -> tuple[float, float, float]:
        """East, north and up as floats, to draw with."""
        return float(self.east), float(self.north), float(self.up)


ZERO = Vector(Decimal(0), Decimal(0), Decimal(0))


def angle_between(one: Vector, other: Vector) -> float:
    """The angle between two directions in degrees, 0 to 180, right to 1e-9 also near 0 and 180."""
    return degrees(atan2(float(one.cross(other).length()), float(one.dot(other))))
