"""The flag that marks a joint welded in the field."""

from reports.drawing import Point, Polygon, Shape


def field_flag(location: str, foot: Point) -> list[Shape]:
    """The field weld flag on a pole that ends at `foot`: full for field, open for field-fit, none for shop."""
    if location not in {"field", "field-fit"}:
        return []
    x, y = foot
    cloth = ((x, y - 8), (x + 7, y - 5.5), (x, y - 3))
    full = location == "field"
    return [Polygon(cloth, "map-line", 0.0 if full else 0.7, filled=full)]
