"""Lines of pipe at random, part by part with their places, and the steps that a route of each must have, set down beside.

Nothing here knows how a route is laid or a model is read: the figures of fittings are entered again from ASME B16.9, B36.10M.
"""

from dataclasses import dataclass, field
from math import cos, radians, sin, tan
from random import Random

Point = tuple[float, float, float]
WAYS: dict[str, Point] = {
    "east": (1, 0, 0), "west": (-1, 0, 0), "north": (0, 1, 0), "south": (0, -1, 0), "up": (0, 0, 1), "down": (0, 0, -1),
}  # fmt: skip
# ASME B36.10M: DN, outside diameter, wall of Schedules 40 and 80. B16.9: centre-to-end of elbows by 90 and 45, of a tee,
# of its smaller outlets; length of a reducer by its large end, and of a cap.
DN = {"2": 50, "3": 80, "4": 100}
OUTSIDE = {"2": 60.3, "3": 88.9, "4": 114.3}
WALL = {"40": {"2": 3.91, "3": 5.49, "4": 6.02}, "80": {"2": 5.54, "3": 7.62, "4": 8.56}}
ELBOW, ELBOW_45 = {"2": 76, "3": 114, "4": 152}, {"2": 35, "3": 51, "4": 64}
TEE, CAP = {"2": 64, "3": 86, "4": 105}, {"2": 38, "3": 51, "4": 64}
OUTLET = {("3", "2"): 76, ("4", "2"): 89, ("4", "3"): 98}
REDUCER = {"3": 89, "4": 102}
HUB = 70


@dataclass
class Piece:
    """One part: its class, its kind among fittings, and its ends: where each is, and whether it is bolted."""

    ifc_class: str
    predefined: str
    name: str
    ends: list[Point]
    nps: str = ""
    schedule: str = ""
    words: str = ""
    bolted: tuple[int, ...] = ()
    flow_in: int = -1


@dataclass
class Line:
    """A line under way: its pieces, what is joined to what, and the steps that say it."""

    random: Random
    is_bare: bool
    nps: str = "3"
    schedule: str = "40"
    pieces: list[Piece] = field(default_factory=list)
    joints: list[tuple[tuple[int, int], tuple[int, int], str]] = field(default_factory=list)
    steps: list[str] = field(default_factory=list)
    at: Point = (0, 0, 0)
    pen: Point = (0, 0, 0)
    heading: Point = (0, 1, 0)
    last: tuple[int, int] | None = None
    depth: int = 0

    def say(self, step: str) -> None:
        """A step that the route must have."""
        self.steps.append("  " * self.depth + step)

    def add(self, piece: Piece, entered: int = 0, place: str = "") -> int:
        """Put a piece at the end of the line; where its weld is made."""
        self.pieces.append(piece)
        number = len(self.pieces) - 1
        if self.last is not None:
            self.joints.append((self.last, (number, entered), place))
        return number

    def run(self, to: Point) -> None:
        """What the pen runs to a place."""
        names = (("east", "west"), ("north", "south"), ("up", "down"))
        moves = [
            f"{names[axis][b < a]} {abs(b - a):.6g}"
            for axis, (a, b) in enumerate(zip(self.pen, to, strict=True))
            if abs(b - a) > 0.05
        ]
        if moves:
            self.say("run " + " ".join(moves))
        self.pen = to

    def field(self, share: float = 0.15) -> str:
        """Where the next weld is made, mostly not said."""
        return "field weld" if self.random.random() < share else ""

    def pipe(self, length: float, place: str = "") -> None:
        """A length of pipe."""
        far = along(self.at, self.heading, length)
        piece = Piece("IfcPipeSegment", "RIGIDSEGMENT", "Pipe", [self.at, far], self.nps, self.schedule)
        self.last = self.add(piece, 0, place), 1
        self.at = far

    def length(self) -> float:
        """A length of pipe between two fittings."""
        return self.random.choice((self.random.randint(400, 3000), self.random.randint(800, 4000) / 2))

    def after(self) -> None:
        """The pipe behind a fitting; its weld there may be one in the field."""
        place = self.field()
        if place:
            self.say(place)
        self.pipe(self.length(), place)

    def meet(self, reach: float, step: str) -> str:
        """Run to a fitting whose point lies `reach` ahead of the pipe's end, and say it; where the weld is made."""
        self.run(along(self.at, self.heading, reach))
        place = self.field()
        if place:
            self.say(place)
        self.say(step)
        return place


def along(at: Point, way: Point, length: float) -> Point:
    """The place so far from another."""
    return (at[0] + way[0] * length, at[1] + way[1] * length, at[2] + way[2] * length)


def back(way: Point) -> Point:
    """The other way."""
    return (-way[0], -way[1], -way[2])


def aside(line: Line) -> tuple[str, Point]:
    """A direction square to the line's."""
    return line.random.choice(
        [
            (name, way)
            for name, way in WAYS.items()
            if abs(sum(a * b for a, b in zip(way, line.heading, strict=True))) < 0.1
        ]
    )


def elbow(line: Line) -> None:
    """A long-radius elbow by 90."""
    reach = ELBOW[line.nps]
    place = line.meet(reach, "elbow")
    centre = along(line.at, line.heading, reach)
    _, way = aside(line)
    far = along(centre, way, reach)
    line.last = line.add(Piece("IfcPipeFitting", "BEND", "Elbow", [line.at, far]), 0, place), 1
    line.at, line.heading = far, way
    line.after()


def skew(line: Line) -> None:
    """Two elbows by 45, or cut from long-radius ones to another angle, and a skew run between them."""
    angle, travel = line.random.choice((45, 45, 30, 60, 22.5)), line.random.randint(600, 1400)
    # A cut elbow takes the 90's radius times the tangent of half the angle.
    reach = ELBOW_45[line.nps] if angle == 45 else ELBOW[line.nps] * tan(radians(angle) / 2)
    _, way = aside(line)
    ahead = line.heading
    lean = along((0, 0, 0), ahead, cos(radians(angle)))
    lean = along(lean, way, sin(radians(angle)))
    for before, after in ((ahead, lean), (lean, ahead)):
        line.heading = before
        place = line.meet(reach, "elbow")
        centre = along(line.at, before, reach)
        far = along(centre, after, reach)
        line.last = line.add(Piece("IfcPipeFitting", "BEND", "Elbow", [line.at, far]), 0, place), 1
        line.at, line.heading = far, after
        if after == lean:
            line.pipe(travel - 2 * reach)
    line.after()


def tee(line: Line) -> None:
    """A tee with an outlet of its size or a smaller one, and a branch."""
    smaller = [small for big, small in OUTLET if big == line.nps]
    nps = line.random.choice([line.nps, *smaller])
    reach, out = TEE[line.nps], OUTLET.get((line.nps, nps), TEE[line.nps])
    place = line.meet(reach, "tee" if nps == line.nps else f"tee DN {DN[nps]} outlet {out}")
    centre = along(line.at, line.heading, reach)
    name, way = aside(line)
    far = along(centre, line.heading, reach)
    number = line.add(Piece("IfcPipeFitting", "JUNCTION", "Tee", [line.at, far, along(centre, way, out)]), 0, place)
    branch(line, number, 2, nps, name, way, centre)
    line.last, line.at = (number, 1), far
    line.after()


def branch(line: Line, number: int, end: int, nps: str, name: str, way: Point, centre: Point) -> None:
    """A branch of one pipe from an end of a tee."""
    kept = line.nps, line.heading, line.pen
    line.say(f"branch {name}")
    line.depth += 1
    line.nps, line.heading, line.pen = nps, way, centre
    line.last, line.at = (number, end), line.pieces[number].ends[end]
    line.pipe(line.length())
    finish(line, line.random.choice(("open", "cap")))
    line.depth -= 1
    line.say("end branch")
    line.nps, line.heading, line.pen = kept


def larger(line: Line) -> None:
    """A tee that the line comes into by its outlet."""
    nps = {"2": "3", "3": "4"}.get(line.nps)
    if nps is None:
        return elbow(line)
    out, reach = OUTLET[nps, line.nps], TEE[nps]
    place = line.meet(out, f"tee DN {DN[nps]} sch {line.schedule} outlet {out}")
    centre = along(line.at, line.heading, out)
    _, way = aside(line)
    name = next(name for name, one in WAYS.items() if one == back(way))
    piece = Piece("IfcPipeFitting", "JUNCTION", "Tee", [along(centre, way, reach), along(centre, way, -reach), line.at])
    number = line.add(piece, 2, place)
    line.nps = nps
    branch(line, number, 1, nps, name, back(way), centre)
    line.last, line.at, line.heading = (number, 0), piece.ends[0], way
    line.after()
    return None


def reducer(line: Line) -> None:
    """A reducer to the next smaller size, concentric or eccentric."""
    nps = {"4": "3", "3": "2"}.get(line.nps)
    if nps is None:
        return elbow(line)
    long = REDUCER[line.nps]
    flat, way = line.random.choice([("", (0, 0, 0)), aside(line)])
    said = f"reducer eccentric flat {flat}" if flat else "reducer"
    place = line.meet(0, f"{said} to DN {DN[nps]} sch {line.schedule} length {long}")
    shift = (OUTSIDE[line.nps] - OUTSIDE[nps]) / 2 if flat else 0
    far = along(along(line.at, line.heading, long), way, shift)
    line.last = line.add(Piece("IfcPipeFitting", "TRANSITION", "Reducer", [line.at, far]), 0, place), 1
    line.at = line.pen = far
    line.nps = nps
    line.after()
    return None


def flange(line: Line, *, faces_on: bool) -> None:
    """A weld-neck flange: its face ahead, or behind."""
    far = along(line.at, line.heading, HUB)
    piece = Piece("IfcPipeFitting", "CONNECTOR", "Flange", [line.at, far], words="weld neck flange Class 150")
    piece.bolted = (1,) if faces_on else (0,)
    if faces_on:
        place = line.meet(HUB, "flange 150 weld-neck")
    else:
        place = ""
        line.say("flange 150 weld-neck")
    line.last = line.add(piece, 0, place), 1
    if not faces_on:
        line.pen = line.at
    line.at = far


def valve(line: Line) -> None:
    """A bolted valve between two flanges, with room for gaskets or without."""
    room, long = line.random.choice((0, 3)), line.random.randint(100, 300)
    flange(line, faces_on=True)
    start = along(line.at, line.heading, room)
    far = along(start, line.heading, long)
    if room:
        line.say(f"gasket {room}")
    line.say(f"valve V-7 length {long} bolted")
    line.last = line.add(Piece("IfcValve", "", "V-7", [start, far], bolted=(0, 1))), 1
    line.at = line.pen = along(far, line.heading, room)
    if room:
        line.say(f"gasket {room}")
    flange(line, faces_on=False)
    line.after()


def meter(line: Line) -> None:
    """A meter that is welded in."""
    long = line.random.randint(100, 400)
    place = line.meet(0, f"instrument FT-3 length {long}")
    far = along(line.at, line.heading, long)
    line.last = line.add(Piece("IfcFlowMeter", "", "FT-3", [line.at, far]), 0, place), 1
    line.at = line.pen = far
    line.after()


def weld(line: Line) -> None:
    """Two lengths of pipe, the second of another wall or of the same."""
    place = line.field(0.4)
    line.run(line.at)
    line.say(place or "shop weld")
    if line.random.random() < 0.3:
        line.schedule = "80" if line.schedule == "40" else "40"
        line.say(f"size DN {DN[line.nps]} sch {line.schedule}")
    line.pipe(line.length(), place)


def finish(line: Line, how: str) -> None:
    """How a line ends."""
    if how == "cap":
        place = line.meet(CAP[line.nps], "cap")
        line.add(Piece("IfcPipeFitting", "OBSTRUCTION", "Cap", [line.at]), 0, place)
    elif how == "flange":
        flange(line, faces_on=True)
    elif how == "pump":
        line.run(line.at)
        line.say("continue on Pump P-9")
        line.add(Piece("IfcPump", "", "Pump P-9", [line.at]))
    else:
        line.run(line.at)
        line.say("open end")


def random_line(seed: int, *, is_bare: bool) -> Line:
    """A line from a seed.

    is_bare  its parts will be written without ports: nothing that only ports can say is in it
    """
    random = Random(seed)
    line = Line(random, is_bare, random.choice(("2", "3", "4")), random.choice(("40", "80")))
    line.at = line.pen = (random.randint(-9000, 9000), random.randint(-9000, 9000), random.randint(-900, 9000))
    line.heading = random.choice(list(WAYS.values()))
    line.say("start at E {:g} N {:g} EL {:g}".format(*line.at))
    line.say(f"size DN {DN[line.nps]} sch {line.schedule}")
    if not is_bare and random.random() < 0.4:
        flange(line, faces_on=False)
        line.after()
    else:
        line.pipe(line.length())
    line.pieces[0].flow_in = 0
    ways = [elbow, skew, tee, larger, reducer, weld, elbow, *(() if is_bare else (valve, meter, valve))]
    for _ in range(random.randint(1, 9)):
        random.choice(ways)(line)
    finish(line, random.choice(("open", "cap") if is_bare else ("open", "cap", "flange", "pump")))
    return line
