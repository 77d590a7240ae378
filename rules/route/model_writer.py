"""Write one route of a piping model: from part to part, each as the steps that say it."""

import re
from collections import deque
from decimal import ROUND_HALF_EVEN, Decimal

from rules.cut_length import end
from rules.nearest import NotAccepted
from rules.route.legs import COMPASS
from rules.route.model import (
    BEND,
    CONNECTOR,
    EQUIPMENT,
    FLANGED,
    INSTRUMENT,
    JUNCTION,
    NEAR_MM,
    OBSTRUCTION,
    SEGMENT,
    TRANSITION,
    VALVE,
    Model,
    Part,
    Port,
    called,
    class_said,
    ends_of,
    face_of,
    flange_kind,
    is_flange,
    other_port,
    outside,
)
from rules.route.model_places import is_short, narrowing, tee_of
from rules.route.parts import Style
from rules.route.shape import BUTT
from rules.route.vector import ZERO, Vector, angle_between
from rules.size_words import typed_size
from rules.units import MM_PER_INCH, US, plain, show_feet

_NEAR_GRID_MM = Decimal("0.02")
_FINE = Decimal("0.001")
_SQUARE = Decimal("1e-5")
_AXES = (("east", "west"), ("north", "south"), ("up", "down"))
# Words of a name that a route would take for the beginning of a clause.
_LEADS = ("length", "socket", "butt", "bolted", "class", "weight")
_LONGEST_NAME = 40
_STRAIGHT = "accepted are the directions of the compass, up and down"


class PartRefused(Exception):
    """A part that can't be written as the others lie; the model is sorted anew without it."""

    def __init__(self, part: Part, why: str) -> None:
        super().__init__(why)
        self.part = part


def _is_cut(one: Part, port: Port, other: Part) -> bool:
    """Whether two lines part here: at a bolted joint no weld is lost."""
    return port.joined == FLANGED and bool(one.line) and bool(other.line) and one.line != other.line


def beyond(model: Model, part: Part, port: Port) -> tuple[Part, Port] | None:
    """The part that a route goes on to at a port, and its port there; None where it ends."""
    met = model.beyond(port)
    return None if met is None or _is_cut(part, port, met[0]) else met


class Writer:
    """Walks from part to part and writes the steps; the pen stands where the last step left it."""

    def __init__(self, model: Model, units: str) -> None:
        self.model, self.units = model, units
        self.lines: list[str] = []
        self.seen: set[str] = set()
        self.first_size = ""
        self.last: Part | None = None
        self.pen = ZERO
        self.schedule = ""
        self.has_pipe = True
        self.names: dict[str, str] = {}
        self._depth = 0

    def write(self, part: Part, port: Port) -> None:
        """The whole route, from an open end on."""
        self.first_size = next((size for one in (port, *part.ports) if (size := self.model.size_at(part, one))), "")
        if not self.first_size:
            raise PartRefused(part, "Its size is not said, nor that of a pipe it meets.")
        self.pen = self._snapped(self._begin_at(part, port))
        place = " ".join(
            f"{axis} {'-' if value < 0 else ''}{self._length(abs(value))}"
            for axis, value in zip(("E", "N", "EL"), self.pen.parts(), strict=True)
        )
        self._say(f"start at {place}")
        self._size(self.first_size, self._schedule_near(part, port))
        owner = self.model.owners.get(port.to)
        if owner is not None and part.kind == SEGMENT:
            self._say(f"continued from {_name(owner)}")
        self._follow(part, port)

    def _begin_at(self, part: Part, port: Port) -> Vector:
        if is_flange(part):
            return face_of(part).at
        if part.kind == OBSTRUCTION and port.joined != FLANGED:
            return self._cap_face(part, port)
        return port.at

    def _schedule_near(self, part: Part, port: Port) -> str:
        """The schedule of the first pipe that a start leads to."""
        seen = set[str]()
        while part.kind != SEGMENT and len(part.ports) == 2 and part.key not in seen:
            seen.add(part.key)
            met = self.model.beyond(other_port(part, port))
            if met is None:
                return ""
            part, port = met
        if part.kind == OBSTRUCTION and (met := self.model.beyond(port)):
            part = met[0]
        return part.schedule

    # --- from part to part ---

    def _follow(self, part: Part, entered: Port) -> None:
        while True:
            self.seen.add(part.key)
            self.last = part
            left = self._part(part, entered)
            if left is None:
                return
            met = beyond(self.model, part, left)
            if met is None:
                self._finish(part, left)
                return
            following, port = met
            if following.key in self.seen:
                self._arrive(part, left, following)
                return
            if part.kind == SEGMENT and following.kind == SEGMENT:
                self._weld(left, following)
            part, entered = following, port

    def _part(self, part: Part, entered: Port) -> Port | None:
        if part.kind == SEGMENT:
            return self._segment(part, entered)
        if part.kind == BEND:
            return self._bend(part, entered)
        if part.kind == JUNCTION:
            return self._tee(part, entered)
        if part.kind == TRANSITION:
            return self._reducer(part, entered)
        if part.kind == CONNECTOR:
            return self._connector(part, entered)
        if part.kind == OBSTRUCTION:
            return self._obstruction(part, entered)
        return self._by_length(part, entered, {VALVE: "valve", INSTRUMENT: "instrument"}.get(part.kind, "item"))

    def _weld(self, left: Port, following: Part) -> None:
        self._run(left.at)
        self._say("shop weld")
        if following.schedule and following.schedule != self.schedule:
            self._size(following.nps, following.schedule)
        self.has_pipe = True

    def _finish(self, part: Part, left: Port) -> None:
        """What stands at an end of the route: an open pipe, or what it goes on to."""
        owner = self.model.owners.get(left.to)
        if part.kind == SEGMENT:
            self._run(left.at)
            self._say(f"continue on {_name(owner)}" if owner else "open end")
        elif owner is not None and owner.kind != EQUIPMENT and left.joined != FLANGED:
            self._say(f"continue on {_name(owner)}")

    def _arrive(self, part: Part, left: Port, following: Part) -> None:
        """The route comes back to a tee that it has passed."""
        if following.key not in self.names:
            raise PartRefused(part, "It closes a ring in which no tee is left open for it.")
        self._run(self.model.centres[following.key])
        self._say(f"arrive at {self.names[following.key]}")

    # --- the parts ---

    def _segment(self, part: Part, entered: Port) -> Port:
        if part.schedule and part.schedule != self.schedule:
            self._size(part.nps, part.schedule)
        self.has_pipe = True
        left = other_port(part, entered)
        along = (left.at - entered.at).unit()
        ends = {one.key for one in ends_of(part)}
        taps = [one for one in part.ports if one.key not in ends]
        for tap in sorted(taps, key=lambda one: (one.at - entered.at).dot(along)):
            self._tap(part, entered.at + along.times((tap.at - entered.at).dot(along)), tap)
        return left

    def _tap(self, part: Part, foot: Vector, tap: Port) -> None:
        """A branch that is set on the pipe: a stub of pipe, an outlet fitting or a half coupling."""
        met = beyond(self.model, part, tap)
        if met is None:
            raise PartRefused(part, "A port on its side meets nothing that can be read.")
        branch, port = met
        aside = tap.at - foot if (tap.at - foot).length() > NEAR_MM else other_port(branch, port).at - foot
        direction = self._compass(aside)
        if not direction:
            raise PartRefused(branch, f"It leaves its header askew; {_STRAIGHT}.")
        self._run(foot)
        if branch.kind == SEGMENT:
            self._say(f"stub {typed_size(branch.nps, self.units)}{_sch(branch.schedule)}")
            self._branch(direction, branch, port)
            return
        kind = called(branch) if branch.kind == CONNECTOR else ""
        if kind not in ("olet", "half coupling"):
            raise PartRefused(branch, "It stands on a pipe and is neither called an olet nor a half coupling.")
        self.seen.add(branch.key)
        far = other_port(branch, port)
        following = beyond(self.model, branch, far)
        nps = self.model.size_at(branch, far)
        if following is None or not nps:
            raise PartRefused(branch, "Nothing that can be read follows it, or its size isn't said.")
        height = (far.at - foot).length() - outside(part.nps) / 2
        schedule = _sch(following[0].schedule)
        high = f"{schedule} height {self._length(self._grid(height))}" if kind == "olet" else ""
        self._say(f"{kind} {typed_size(nps, self.units)}{high}")
        self._branch(direction, *following)

    def _bend(self, part: Part, entered: Port) -> Port:
        centre = self.model.centres[part.key]
        self._station(centre)
        left = other_port(part, entered)
        reach, turn = (centre - entered.at).length(), angle_between(centre - entered.at, left.at - centre)
        self._say("elbow short" if is_short(self.model, part, reach, turn) else "elbow")
        return left

    def _tee(self, part: Part, entered: Port) -> Port:
        run, outlet, centre = tee_of(self.model, part)
        self._station(centre)
        main, side = (run[0], run[1]) if entered.key == outlet.key else (_other(run, entered), outlet)
        size, outlet_size = self.model.size_at(part, run[0]), self.model.size_at(part, outlet)
        said = "tee"
        if outlet_size != size:
            said += f" {typed_size(outlet_size, self.units)}"
            if Style(size, "").joined == BUTT:
                said += f" outlet {self._length(self._grid((outlet.at - centre).length()))}"
        self._say(said)
        if self._comes_back(part, side, main):
            self.names[part.key] = f"T{len(self.names) + 1}"
            self._say(f"point {self.names[part.key]}")
            return main
        direction = self._compass(side.at - centre)
        if not direction:
            raise PartRefused(part, f"Its outlet points askew; {_STRAIGHT}.")
        met = beyond(self.model, part, side)
        if met is None or met[0].key in self.seen:
            raise PartRefused(part, "Its outlet closes a ring that a route can't write.")
        self._branch(direction, *met)
        return main

    def _comes_back(self, tee: Part, side: Port, main: Port) -> bool:
        """Whether what leaves one side of a tee comes back to the other without passing it."""
        start, goal = beyond(self.model, tee, side), beyond(self.model, tee, main)
        if start is None or goal is None:
            return False
        found, waiting = {tee.key, start[0].key, *self.seen}, deque([start[0]])
        while waiting:
            part = waiting.popleft()
            if part.key == goal[0].key:
                return True
            for port in part.ports:
                met = beyond(self.model, part, port)
                if met is not None and met[0].key not in found:
                    found.add(met[0].key)
                    waiting.append(met[0])
        return False

    def _branch(self, direction: str, part: Part, entered: Port) -> None:
        kept = self.pen, self.schedule, self.has_pipe, self.last
        self._say(f"branch {direction}")
        self._depth += 1
        self.has_pipe = False
        # A tee's outlet has the schedule of its run until the branch says another.
        self._follow(part, entered)
        self._depth -= 1
        self._say("end branch")
        self.pen, self.schedule, self.has_pipe, self.last = kept

    def _reducer(self, part: Part, entered: Port) -> Port:
        self._station(entered.at)
        far = other_port(part, entered)
        along, aside = narrowing(self.model, part, entered)
        size, following = self.model.size_at(part, entered), self.model.size_at(part, far)
        kind = "reducer"
        if aside.length() > NEAR_MM:
            is_smaller = outside(following) < outside(size)
            flat = self._compass(aside if is_smaller else -aside)
            if not flat:
                raise PartRefused(part, "The flat side of this eccentric reducer lies askew; a route can't say that.")
            kind += f" eccentric flat {flat}"
        met = beyond(self.model, part, far)
        self.schedule = met[0].schedule if met and met[0].schedule else self.schedule
        length = self._length(self._grid(along.length()))
        self._say(f"{kind} to {typed_size(following, self.units)}{_sch(self.schedule)} length {length}")
        self.pen = self._snapped(far.at)
        return far

    def _connector(self, part: Part, entered: Port) -> Port:
        if not is_flange(part):
            if called(part) == "union":
                return self._by_length(part, entered, "item")
            one, two = part.ports
            self._station(one.at + (two.at - one.at).times(Decimal("0.5")))
            self._say("coupling")
            return other_port(part, entered)
        face = face_of(part)
        if entered.key == face.key:
            self._face(face.at)
        else:
            self._station(face.at)
        owner = self.model.owners.get(face.to)
        note = f" ; bolted to {_name(owner)}" if owner and self.model.beyond(face) is None else ""
        self._say(f"flange {class_said(part)} {flange_kind(part)}".rstrip() + note)
        return other_port(part, entered)

    def _obstruction(self, part: Part, entered: Port) -> Port | None:
        is_start = len(self.seen) == 1
        if entered.joined == FLANGED:
            if not is_start:
                self._face(entered.at)
            self._say(f"blind {class_said(part)}".rstrip())
        else:
            if not is_start:
                self._station(self._cap_face(part, entered))
            self._say("cap")
            self.has_pipe = False
        return entered if is_start else None

    def _cap_face(self, part: Part, port: Port) -> Vector:
        """The far face of a cap, by the table of its size; the model has its weld."""
        nps = self.model.size_at(part, port)
        ahead = self.model.inward(port)
        if not nps or ahead is None:
            raise PartRefused(part, "Its size is not said, or it meets no straight part.")
        try:
            reach = end("cap", nps, Style(nps, "").joined, "3000", self.units)
        except NotAccepted as error:
            raise PartRefused(part, str(error)) from error
        return port.at + ahead.times(reach.takeout_mm)

    def _by_length(self, part: Part, entered: Port, item: str) -> Port:
        far = other_port(part, entered)
        if entered.joined == FLANGED:
            self._face(entered.at)
        else:
            self._station(entered.at)
        name = f" {_name(part)}" if _name(part) else ""
        bolted = " bolted" if all(one.joined == FLANGED for one in part.ports) else ""
        rating = f" class {class_said(part)}" if class_said(part) and not bolted else ""
        self._say(f"{item}{name} length {self._length(self._grid((far.at - entered.at).length()))}{bolted}{rating}")
        self.pen = self._snapped(far.at)
        return far

    # --- the pen ---

    def _station(self, at: Vector) -> None:
        """Go to where a fitting stands; one that is welded to the fitting before it has no pipe between."""
        if self.has_pipe or len(self.seen) == 1:
            self._run(at)
        else:
            self._tight(at)
        self.has_pipe = False

    def _tight(self, at: Vector) -> None:
        moves = self._moves(at)
        if not moves:
            return
        direction = self._compass(at - self.pen)
        if not direction:
            self._run(at)
            return
        self._say(f"run {direction} fitting to fitting")
        told = "Where two fittings are welded to each other, the root opening is added to the model's distance."
        self.model.notices[told] = None
        self.pen = self._snapped(at)

    def _face(self, at: Vector) -> None:
        """Go to what is bolted on: over the thickness of a gasket where the model leaves room for one."""
        apart = (at - self.pen).length()
        if apart > NEAR_MM:
            self._say(f"gasket {self._length(self._grid(apart))}")
            self.pen = self._snapped(at)
        self.has_pipe = False

    def _run(self, at: Vector) -> None:
        moves = self._moves(at)
        if moves:
            self._say("run " + " ".join(f"{direction} {self._length(length)}" for direction, length in moves))
            for direction, length in moves:
                self.pen += COMPASS[direction].times(length)

    def _moves(self, at: Vector) -> list[tuple[str, Decimal]]:
        moves = []
        for (ahead, back), apart in zip(_AXES, (self._snapped(at) - self.pen).parts(), strict=True):
            if abs(apart) > _NEAR_GRID_MM:
                moves.append((ahead if apart > 0 else back, abs(apart)))
        return moves

    def _size(self, nps: str, schedule: str) -> None:
        self.schedule = schedule or self.schedule
        self._say(f"size {typed_size(nps, self.units)}{_sch(schedule)}")

    def _say(self, line: str) -> None:
        self.lines.append("  " * self._depth + line)

    def _compass(self, along: Vector) -> str:
        """The direction of the compass, up or down, that a vector has; empty where it has none."""
        if along.length() <= NEAR_MM:
            return ""
        way = along.unit()
        return next((name for name, one in COMPASS.items() if 1 - one.dot(way) < _SQUARE), "")

    def _snapped(self, at: Vector) -> Vector:
        return Vector(*(self._grid(one) for one in at.parts()))

    def _grid(self, mm: Decimal) -> Decimal:
        """A figure without the noise of an export: on a half mm or a sixteenth of an inch where it is near one."""
        steps = (MM_PER_INCH / 16, Decimal("0.5")) if self.units == US else (Decimal("0.5"), MM_PER_INCH / 16)
        for step in steps:
            near = (mm / step).to_integral_value(ROUND_HALF_EVEN) * step
            if abs(near - mm) <= _NEAR_GRID_MM:
                return near
        return mm.quantize(_FINE, ROUND_HALF_EVEN)

    def _length(self, mm: Decimal) -> str:
        if self.units != US:
            return plain(mm)
        return show_feet(mm) if not mm % (MM_PER_INCH / 16) else f"{plain(mm)} mm"


def _other(pair: tuple[Port, Port], one: Port) -> Port:
    return pair[1] if one.key == pair[0].key else pair[0]


def _sch(schedule: str) -> str:
    return f" sch {schedule}" if schedule else ""


def _name(part: Part) -> str:
    """A part's name as a route can have it."""
    words = re.sub(r"[^\w .,/+()-]+", " ", part.name).split()
    return " ".join(word for word in words if word.casefold() not in _LEADS)[:_LONGEST_NAME].strip()
