"""The ring: the one mark of a joint, a circle that closes as the joint is made and fills when it is accepted.

planned      a thin open circle
fitted       a small gap with two ticks at the top
in progress  an arc that closes clockwise with the passes
welded       a full, heavy ring
accepted     a heavy ring with a dot in it
released     a solid disc with a check left open in it
rejected     a heavy ring, broken and struck through
withdrawn    a dashed circle with a cross in it

Each later attempt puts a ring around it, one for the first and one for the second; from the third on the outermost is
heavy. A ring under 20 px has one ring around it for any later attempt; the attempt's label (R3) beside it gives the
number. It reads in black and white and at 12 px; colour only adds.
"""

from functools import lru_cache

from reports.data import Ring
from reports.drawing import Arc, Circle, Disc, Line, Point, Shape, clock_point
from reports.svg import element, svg

STATES = ("planned", "fitted", "in progress", "welded", "rejected", "accepted", "released", "withdrawn")
BOX = 24.0  # the ring is drawn in a square of this side, whatever its size in px
MIDDLE: Point = (BOX / 2, BOX / 2)
RADII = ((9.0,), (6.6, 10.6), (5.6, 8.4, 11.0))  # the ring itself, then those of the attempts
SMALL = 20.0  # px; below, two rings around one run together, so one stands for all later attempts
SMALL_RADII = (5.7, 11.2)


def ring_svg(state: str, progress: float = 0.0, attempt_count: int = 0, size: float = 24, title: str = "") -> str:
    """The ring as an inline SVG.

    state          one of STATES
    progress       part of the passes made, 0 to 1, for `in progress`
    attempt_count  later attempts (repairs and re-welds) of the joint, 0 for the original
    size           side in px
    title          what a screen reader says; the state if left out
    Raises         ValueError for an unknown state
    """
    ring = Ring(state, round(progress, 2), attempt_count)
    words = title or ring_words(ring)
    return svg((), width=BOX, height=BOX, title=words, kind="ring", size=size, inside=_drawn(ring, size))


@lru_cache(maxsize=4096)
def _drawn(ring: Ring, size: float) -> str:
    """The marks of a ring, kept because a list shows the same few again and again."""
    return "".join(element(shape) for shape in ring_shapes(ring, size))


def ring_words(ring: Ring) -> str:
    """The ring in words, for those who do not see it."""
    attempts = {0: "", 1: ", second attempt", 2: ", third attempt"}.get(ring.attempt_count)
    return ring.state + (attempts if attempts is not None else f", attempt {ring.attempt_count + 1}")


def ring_shapes(ring: Ring, size: float) -> list[Shape]:
    """Shapes of the ring in a square of 24 units that will be shown `size` px wide: small rings get heavier lines."""
    if ring.state not in STATES:
        raise ValueError(f"A ring has no state {ring.state!r}; it has {', '.join(STATES)}.")
    pixel = BOX / size
    thin, heavy = max(1.2, 0.9 * pixel), max(3.0, 1.9 * pixel)
    if ring.attempt_count and size < SMALL:
        inner, outer = SMALL_RADII
        around: list[Shape] = [Circle(MIDDLE, outer, "ring-line", 1.5)]
        return [*_body(ring, inner, min(thin, 1.7), min(heavy, 3.9)), *around]
    radii = RADII[min(ring.attempt_count, 2)]
    if len(radii) > 1:
        heavy = min(heavy, 3.4)
    shapes = _body(ring, radii[0], thin, heavy)
    for attempt, radius in enumerate(radii[1:], start=1):
        last = attempt == len(radii) - 1
        weight = heavy * 0.7 if last and ring.attempt_count > 2 else min(thin, 1.6)
        shapes.append(Circle(MIDDLE, radius - weight / 4, "ring-line", weight))
    return shapes


def outer_radius(ring: Ring) -> float:
    """Radius in units of the box at which the ring ends, so that a pipe can be drawn up to it."""
    return RADII[min(ring.attempt_count, 2)][-1] + 0.8


def _body(ring: Ring, radius: float, thin: float, heavy: float) -> list[Shape]:
    match ring.state:
        case "planned":
            return [Circle(MIDDLE, radius, "ring-line", thin)]
        case "fitted":
            return _fitted(radius, thin)
        case "in progress":
            sweep = min(max(360 * ring.progress, 40.0), 310.0)  # neither nothing nor all: both are other states
            return [Circle(MIDDLE, radius, "ring-line", thin), Arc(MIDDLE, radius, 0, sweep, "ring-arc", heavy)]
        case "welded":
            return [Circle(MIDDLE, radius, "ring-arc", heavy)]
        case "accepted":
            dot = radius * 0.45
            return [Circle(MIDDLE, radius, "ring-arc", min(heavy, radius * 0.36)), Circle(MIDDLE, dot, "ring-fill")]
        case "released":
            return [Disc(MIDDLE, radius + heavy / 2, _check(radius + heavy / 2), "ring-fill")]
        case "rejected":
            return _rejected(radius, heavy)
        case _:
            return _withdrawn(radius, thin)


def _fitted(radius: float, thin: float) -> list[Shape]:
    half = 26.0
    shapes: list[Shape] = [Arc(MIDDLE, radius, half, 360 - 2 * half, "ring-line", thin)]
    for angle in (-half, half):
        inner = clock_point(MIDDLE, radius - 2.6, angle)
        outer = clock_point(MIDDLE, radius + 2.6, angle)
        shapes.append(Line(inner, outer, "ring-line", thin * 1.3))
    return shapes


def _rejected(radius: float, heavy: float) -> list[Shape]:
    clear = 30.0  # degrees of ring left out beside the strike on either side, so that it stands free
    arcs: list[Shape] = [
        Arc(MIDDLE, radius, side + clear, 180 - 2 * clear, "ring-arc", heavy) for side in (45.0, 225.0)
    ]
    reach = min(radius * 1.32, 11.8)
    strike = Line(clock_point(MIDDLE, reach, 225), clock_point(MIDDLE, reach, 45), "ring-strike", heavy * 0.8)
    return [*arcs, strike]


def _withdrawn(radius: float, thin: float) -> list[Shape]:
    dashes: list[Shape] = [Arc(MIDDLE, radius, turn + 15, 30, "ring-line", thin) for turn in range(0, 360, 60)]
    x, y = MIDDLE
    arm = radius * 0.36
    cross: list[Shape] = [
        Line((x - arm, y - arm), (x + arm, y + arm), "ring-line", thin),
        Line((x - arm, y + arm), (x + arm, y - arm), "ring-line", thin),
    ]
    return dashes + cross


def _check(radius: float) -> tuple[Point, ...]:
    """Outline of a check mark inside a disc of this radius."""
    x, y = MIDDLE
    outline = ((-0.62, 0.06), (-0.40, -0.18), (-0.14, 0.10), (0.40, -0.48), (0.64, -0.24), (-0.14, 0.58))
    return tuple((x + dx * radius, y + dy * radius) for dx, dy in outline)


def legend() -> tuple[Ring, ...]:
    """One ring of each state, and one of a second attempt, in the order of a joint's life."""
    order = ("planned", "fitted", "in progress", "welded", "accepted", "released", "rejected", "withdrawn")
    return (*(Ring(state, 0.5 if state == "in progress" else 0.0) for state in order), Ring("in progress", 0.4, 1))
