"""Boxes and strokes in the plane of the sheet, and whether they meet; y runs downwards."""

from reports.drawing import Point

Box = tuple[float, float, float, float]  # left, top, right, bottom
Stroke = tuple[float, float, float, float]  # x1, y1, x2, y2

_NEAR = 1e-9
_START, _SINE = 6.0, 0.21  # points between the starts of strokes, and the sine of 12 degrees


def boxes_meet(one: Box, other: Box) -> bool:
    """Whether two boxes share more than an edge."""
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def stroke_meets_box(stroke: Stroke, box: Box) -> bool:
    """Whether a stroke runs through the inside of a box."""
    x1, y1, x2, y2 = stroke
    left, top, right, bottom = box
    if (x1 <= left and x2 <= left) or (x1 >= right and x2 >= right):
        return False
    if (y1 <= top and y2 <= top) or (y1 >= bottom and y2 >= bottom):
        return False
    dx, dy = x2 - x1, y2 - y1
    # The box meets the line if its corners lie on both sides; the stroke's extent was compared above.
    sides = (
        dx * (top - y1) - dy * (left - x1),
        dx * (top - y1) - dy * (right - x1),
        dx * (bottom - y1) - dy * (left - x1),
        dx * (bottom - y1) - dy * (right - x1),
    )
    return min(sides) < -_NEAR and max(sides) > _NEAR


def strokes_cross(one: Stroke, other: Stroke) -> bool:
    """Whether two strokes cross or touch; strokes along one line meet where they overlap."""
    ax, ay, bx, by = one
    cx, cy, dx, dy = other
    # Apart to the right or left, or above or below; told without a call, since it is asked most often.
    if (ax < cx and ax < dx and bx < cx and bx < dx) or (ax > cx and ax > dx and bx > cx and bx > dx):
        return False
    if (ay < cy and ay < dy and by < cy and by < dy) or (ay > cy and ay > dy and by > cy and by > dy):
        return False
    first = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
    second = (bx - ax) * (dy - ay) - (by - ay) * (dx - ax)
    if (first > _NEAR and second > _NEAR) or (first < -_NEAR and second < -_NEAR):
        return False
    third = (dx - cx) * (ay - cy) - (dy - cy) * (ax - cx)
    fourth = (dx - cx) * (by - cy) - (dy - cy) * (bx - cx)
    return not ((third > _NEAR and fourth > _NEAR) or (third < -_NEAR and fourth < -_NEAR))


def seem_one(one: Stroke, other: Stroke) -> bool:
    """Whether two strokes begin near each other and go on side by side, so that one is taken for the other."""
    ax, ay, bx, by = one
    cx, cy, dx, dy = other
    if ax - cx > _START or cx - ax > _START or ay - cy > _START or cy - ay > _START:
        return False
    bx, by, dx, dy = bx - ax, by - ay, dx - cx, dy - cy
    cross = bx * dy - by * dx
    return bx * dx + by * dy > 0 and cross * cross < _SINE * _SINE * (bx * bx + by * by) * (dx * dx + dy * dy)


def around(points: tuple[Point, ...], room: float = 0.0) -> Box:
    """The smallest box around points, widened by `room` on every side."""
    across, down = [x for x, _ in points], [y for _, y in points]
    return min(across) - room, min(down) - room, max(across) + room, max(down) + room


def widened(box: Box, room: float) -> Box:
    """The box, wider by `room` on every side."""
    return box[0] - room, box[1] - room, box[2] + room, box[3] + room


def stroke_box(stroke: Stroke) -> Box:
    """The smallest box around a stroke."""
    x1, y1, x2, y2 = stroke
    if x1 > x2:
        x1, x2 = x2, x1
    return (x1, y1, x2, y2) if y1 < y2 else (x1, y2, x2, y1)
