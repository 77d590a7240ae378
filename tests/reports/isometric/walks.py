"""Invented routes for drawing: random walks of pipe and fittings that never come back onto themselves, by a seed."""

from dataclasses import dataclass, field, replace
from math import dist
from random import Random

from reports.data import MapJoint, Ring
from reports.isometric.drawn import BillRow, CutRow, Dimension, Isometric, Leg, Mark, Place, Weld
from reports.ring import STATES
from tests.reports.papers import TITLE

TAKE = {"elbow": 152.0, "tee": 143.0, "flange": 89.0, "valve": 292.0, "reducer": 140.0, "olet": 44.0, "cap": 64.0}
CLEARANCE = 350.0
SKEW = ((1, 1, 0), (1, 0, 1), (0, 1, 1), (1, 1, 1))
Way = tuple[float, float, float]


@dataclass
class Walk:
    """A route being made: where it is and which way it goes."""

    draw: Random
    legs: list[Leg] = field(default_factory=list)
    welds: list[Weld] = field(default_factory=list)
    dimensions: list[Dimension] = field(default_factory=list)
    marks: list[Mark] = field(default_factory=list)
    pieces: int = 0
    spool: int = 1
    open_ends: list[tuple[Place, Way, Place]] = field(default_factory=list)

    def piece(self) -> str:
        self.pieces += 1
        return str(self.pieces)

    def leg(self, at: Place, way: Way, length: float, kind: str, mark: str, narrows: int = 1) -> Place:
        end = moved(at, way, length)
        self.legs.append(Leg(at, end, kind, mark, narrows))
        return end

    def weld(self, at: Place, kind: str = "butt", location: str = "shop") -> None:
        number = str(len(self.welds) + 1)
        state = STATES[int(self.draw.random() * len(STATES))]
        ring = Ring(state, 0.5 if state == "in progress" else 0.0, int(self.draw.random() * 1.4))
        if location != "shop":
            self.spool += 1
        joint = MapJoint(
            number, ring, kind, "4 Sch 40", location, f"SP-{self.spool}", heat_a=f"H{int(number) % 7}",
            heat_b=f"H{int(number) % 5}", procedure="WPS-4", stamps="A1 / A1 / B2",
        )  # fmt: skip
        days = {"welded": "2026-10-02", "accepted": "2026-10-05"}
        self.welds.append(Weld(at, joint, "V groove, all around", href=f"/joints/{number}/", **days))

    def measure(self, start: Place, end: Place) -> None:
        if dist(start, end) > 1:
            self.dimensions.append(Dimension(start, end, f"{dist(start, end):,.0f}"))

    def is_free(self, start: Place, end: Place) -> bool:
        """Whether a run would stay clear of all that was drawn, but for where it begins."""
        steps = max(2, int(dist(start, end) / 250))
        points = [tuple(a + (b - a) * n / steps for a, b in zip(start, end, strict=True)) for n in range(1, steps + 1)]
        for leg in self.legs:
            if away(start, leg) < CLEARANCE:
                continue
            if any(away(point, leg) < CLEARANCE for point in points):  # type: ignore[arg-type]
                return False
        return True


def moved(at: Place, way: Way, length: float) -> Place:
    """The place a length further; skew ways go by their true length."""
    size = dist((0, 0, 0), way)
    east, north, up = (round(a + b * length / size, 3) for a, b in zip(at, way, strict=True))
    return east, north, up


def away(point: Place, leg: Leg) -> float:
    """Distance of a place from a leg."""
    along = [b - a for a, b in zip(leg.start, leg.end, strict=True)]
    length = sum(x * x for x in along)
    share = sum((p - a) * x for p, a, x in zip(point, leg.start, along, strict=True)) / length
    share = max(0.0, min(1.0, share))
    return dist(point, [a + x * share for a, x in zip(leg.start, along, strict=True)])


def walk(joints: int, seed: int, *, branches: float = 0.15, skew: float = 0.08, kind: str = "butt") -> Isometric:
    """A route with about so many joints, at least two; the same for the same seed."""
    made = Walk(Random(seed))
    start: Place = (0.0, 0.0, 3000.0)
    made.marks.append(Mark(start, "Continued from sheet 1\n" + coordinates(start), "continuation"))
    made.open_ends.append((start, (1.0, 0.0, 0.0), start))
    while made.open_ends and len(made.welds) < joints:
        _run(made, joints, branches, skew, kind)
    marks = [Mark(middle(leg), leg.mark, "piece") for leg in made.legs if leg.kind == "pipe"]
    pipes = [leg for leg in made.legs if leg.kind == "pipe"]
    spools = {}
    for weld in made.welds:
        spools.setdefault(weld.joint.spool, weld.at)
    first = {name: middle(min(pipes, key=lambda leg, at=at: dist(leg.start, at))) for name, at in spools.items()}
    marks += [Mark(at, name, "spool") for name, at in first.items()]
    bill = tuple(
        BillRow(mark, "1", kinds, "4 Sch 40", "A106 Gr. B", f"H{int(mark) % 7}", "SP-1")
        for mark, kinds in {leg.mark: leg.kind for leg in made.legs}.items()
    )
    cuts = tuple(CutRow(leg.mark, "4 Sch 40", f"{dist(leg.start, leg.end):,.0f} mm", "bevel / bevel") for leg in pipes)
    title = replace(TITLE, title="Isometric", kind="Isometric", number=f"ISO-{seed:04}")
    return Isometric(
        title, tuple(made.legs), tuple(made.welds), tuple(made.dimensions), (*made.marks, *marks), bill, cuts, "A3",
        coordinates_in="SI",
    )  # fmt: skip


def coordinates(at: Place) -> str:
    """A place as a call-out has it."""
    return f"E {at[0]:,.1f}\nN {at[1]:,.1f}\nEL {at[2]:+,.0f}"


def middle(leg: Leg) -> Place:
    """A third of the way along a leg, clear of its flow arrow and break."""
    east, north, up = (round(a + (b - a) * 0.4, 3) for a, b in zip(leg.start, leg.end, strict=True))
    return east, north, up


def _run(made: Walk, joints: int, branches: float, skew: float, kind: str) -> None:
    """Follow one open end until the joints are enough or there is no way on."""
    at, way, measured = made.open_ends.pop(0)
    draw = made.draw.random
    while len(made.welds) < joints:
        length = round(120 + 5200 * draw() ** 3)
        end = moved(at, way, length)
        if not made.is_free(at, moved(end, way, 900)):
            length = 150
            end = moved(at, way, length)
        made.leg(at, way, length, "pipe", made.piece())
        if draw() < 0.07:
            made.marks.append(Mark(moved(at, way, length * 0.7), f"PS-{len(made.legs)}", "support"))
        turn = draw()
        location = "field" if draw() < 0.1 else "field-fit" if draw() < 0.03 else "shop"
        if turn < 0.12:
            made.weld(end, kind, location)
            at, measured = _valve(made, end, way, measured, kind)
        elif turn < 0.18:
            made.weld(end, kind, location)
            at = made.leg(end, way, TAKE["reducer"], "reducer", made.piece(), 1 if draw() < 0.5 else -1)
            made.weld(at, kind)
        elif turn < 0.18 + branches:
            made.weld(end, kind, location)
            at, measured = _tee(made, end, way, measured, kind)
        elif turn < 0.26 + branches:
            made.weld(end, kind, location)
            at = end
            continue
        else:
            made.weld(end, kind, location)
            turned = _elbow(made, end, way, measured, kind, skew)
            if turned is None:
                break
            at, way, measured = turned
    if draw() < 0.4:
        at = made.leg(at, way, TAKE["cap"], "cap", made.piece())
    made.marks.append(Mark(at, coordinates(at), "place"))
    made.measure(measured, at)


def _valve(made: Walk, at: Place, way: Way, measured: Place, kind: str) -> tuple[Place, Place]:
    face = made.leg(at, way, TAKE["flange"], "flange", made.piece())
    made.measure(measured, face)
    tag = made.piece()
    other = made.leg(face, way, TAKE["valve"], "valve", tag)
    made.marks.append(Mark(moved(face, way, TAKE["valve"] / 2), f"HV-{100 + int(tag)}", "tag"))
    made.measure(face, other)
    end = made.leg(other, way, TAKE["flange"], "flange", made.piece())
    made.weld(end, kind)
    return end, other


def _tee(made: Walk, at: Place, way: Way, measured: Place, kind: str) -> tuple[Place, Place]:
    mark = made.piece()
    centre = made.leg(at, way, TAKE["tee"], "tee", mark)
    made.measure(measured, centre)
    end = made.leg(centre, way, TAKE["tee"], "tee", mark)
    for turned in _turns(made, way):
        if made.is_free(centre, moved(centre, turned, 2500)):
            out = made.leg(centre, turned, TAKE["tee"], "tee", mark)
            made.weld(out, kind)
            made.open_ends.append((out, turned, centre))
            break
    made.weld(end, kind)
    return end, centre


def _elbow(made: Walk, at: Place, way: Way, measured: Place, kind: str, skew: float) -> tuple[Place, Way, Place] | None:
    draw = made.draw.random
    centre = moved(at, way, TAKE["elbow"])
    if draw() < skew and sum(map(abs, way)) == 1:
        return _offset(made, at, way, measured, kind)
    for turned in _turns(made, way):
        if made.is_free(centre, moved(centre, turned, 1500)):
            mark = made.piece()
            made.leg(at, way, TAKE["elbow"], "elbow", mark)
            made.measure(measured, centre)
            if draw() < 0.2:
                made.marks.append(Mark(centre, f"EL {centre[2]:+,.0f}", "level"))
            end = made.leg(centre, turned, TAKE["elbow"], "elbow", mark)
            made.weld(end, kind)
            return end, turned, centre
    return None


def _offset(made: Walk, at: Place, way: Way, measured: Place, kind: str) -> tuple[Place, Way, Place] | None:
    """Two 45 degree elbows with a skew pipe between, back on the old way."""
    take, draw = 63.0, made.draw.random
    axis = next(number for number in range(3) if way[number])
    ways = [one for one in SKEW if one[axis]]
    chosen = ways[int(draw() * len(ways))]
    signs = [way[axis] if number == axis else (1 if draw() < 0.5 else -1) for number in range(3)]
    skewed = tuple(float(part * sign) for part, sign in zip(chosen, signs, strict=True))
    centre = moved(at, way, take)
    travel = round(500 + 900 * draw())
    other = moved(centre, skewed, travel + 2 * take)  # type: ignore[arg-type]
    if not made.is_free(centre, moved(other, way, 1500)):
        return None
    mark = made.piece()
    made.leg(at, way, take, "elbow", mark)
    made.measure(measured, centre)
    first = made.leg(centre, skewed, take, "elbow", mark)  # type: ignore[arg-type]
    made.weld(first, kind)
    second = made.leg(first, skewed, travel, "pipe", made.piece())  # type: ignore[arg-type]
    made.weld(second, kind)
    mark = made.piece()
    corner = made.leg(second, skewed, take, "elbow", mark)  # type: ignore[arg-type]
    made.measure(centre, corner)
    _sides(made, centre, corner)
    end = made.leg(corner, way, take, "elbow", mark)
    made.weld(end, kind)
    return end, way, corner


def _sides(made: Walk, start: Place, end: Place) -> None:
    """The offsets of a skew run, each beside the side of its plane."""
    at = start
    for axis in range(3):
        if abs(end[axis] - start[axis]) > 1:
            east, north, up = (end[n] if n == axis else at[n] for n in range(3))
            corner = (east, north, up)
            made.dimensions.append(Dimension(at, corner, f"{abs(end[axis] - start[axis]):,.0f}", beside=True))
            at = corner


def _turns(made: Walk, way: Way) -> list[Way]:
    axis = max(range(3), key=lambda number: abs(way[number]))
    found: list[Way] = []
    for other in range(3):
        if other != axis:
            for sign in (1.0, -1.0):
                found.append(tuple(sign if n == other else 0.0 for n in range(3)))  # type: ignore[arg-type]
    return sorted(found, key=lambda _: made.draw.random())
