"""Write one route of a piping model: from part to part, each as the steps that say it."""

import re
from collections import deque
from decimal import Decimal

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
from rules.route.model_pen import Pen, sch
from rules.route.model_places import cap_face, is_short, narrowing, tee_of
from rules.route.model_welds import SHOP
from rules.route.parts import Style
from rules.route.shape import BUTT
from rules.route.vector import Vector, angle_between
from rules.size_words import show_size, typed_size

# Words of a name that a route would take for the beginning of a clause.
_LEADS = ("length", "socket", "butt", "bolted", "class", "weight")
_LONGEST_NAME = 40
_NAMELESS = "a part without a name"
_DEEPEST = 40
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
        self.pen = Pen(units)
        self.seen: set[str] = set()
        self.first_size = ""
        self.last: Part | None = None
        self.names: dict[str, str] = {}

    def write(self, part: Part, port: Port) -> None:
        """The whole route, from an open end on."""
        self.first_size = next((size for one in (port, *part.ports) if (size := self.model.size_at(part, one))), "")
        if not self.first_size:
            raise PartRefused(part, "Its size is not said, nor that of a pipe it meets.")
        self.pen.start(self._begin_at(part, port))
        self.pen.size(self.first_size, self._schedule_near(part, port))
        owner = self.model.owners.get(port.to)
        if owner is not None and part.kind == SEGMENT:
            self.pen.say(f"continued from {_name(owner) or _NAMELESS}")
        self._follow(part, port)
        self.model.notices.update(self.pen.notices)

    def _begin_at(self, part: Part, port: Port) -> Vector:
        if is_flange(part):
            return face_of(part).at
        if part.kind == OBSTRUCTION and port.joined != FLANGED:
            return cap_face(self.model, part)[0]
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
            self._joint(part, left, following, port)
            part, entered = following, port

    def _part(self, part: Part, entered: Port) -> Port | None:
        if part.kind not in (JUNCTION, TRANSITION) and part.nps not in ("", self.pen.nps):
            own, met = show_size(part.nps, self.units), show_size(self.pen.nps, self.units)
            raise PartRefused(part, f"It is {own} and is joined to {met} without a reducer.")
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

    def _joint(self, part: Part, left: Port, following: Part, port: Port) -> None:
        """What a joint asks to be said: a weld between two pipes, or where the weld to a fitting is made."""
        place = self.model.welds.get(left.key, SHOP)
        if part.kind == SEGMENT and following.kind == SEGMENT:
            self.pen.run(left.at + (port.at - left.at).times(Decimal("0.5")))
            self.pen.say(place)
            if following.schedule and following.schedule != self.pen.schedule:
                self.pen.size(following.nps, following.schedule)
            self.pen.has_pipe = True
        elif place != SHOP:
            self.pen.mark = place
            if following.kind == SEGMENT:
                self.pen.say_mark()

    def _finish(self, part: Part, left: Port) -> None:
        """What stands at an end of the route: an open pipe, or what it goes on to."""
        owner = self.model.owners.get(left.to)
        if part.kind == SEGMENT:
            self.pen.run(left.at)
            self.pen.say(f"continue on {_name(owner) or _NAMELESS}" if owner else "open end")
        elif owner is not None and owner.kind != EQUIPMENT and left.joined != FLANGED:
            self.pen.say(f"continue on {_name(owner) or _NAMELESS}")

    def _arrive(self, part: Part, left: Port, following: Part) -> None:
        """The route comes back to a tee that it has passed."""
        if following.key not in self.names:
            raise PartRefused(part, "It closes a ring in which no tee is left open for it.")
        self.pen.run(self.model.centres[following.key])
        if (place := self.model.welds.get(left.key, SHOP)) != SHOP:
            self.pen.say(place)
        self.pen.say(f"arrive at {self.names[following.key]}")

    # --- the parts ---

    def _segment(self, part: Part, entered: Port) -> Port:
        if part.schedule and part.schedule != self.pen.schedule:
            self.pen.size(part.nps, part.schedule)
        self.pen.has_pipe = True
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
        direction = self.pen.compass(aside)
        if not direction:
            raise PartRefused(branch, f"It leaves its header askew; {_STRAIGHT}.")
        self.pen.run(foot)
        if branch.kind == SEGMENT:
            self.pen.say(f"stub {typed_size(branch.nps, self.units)}{sch(branch.schedule)}")
            self._branch(direction, branch.nps, branch, port)
            return
        self._tell_unsaid(tap)
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
        schedule = sch(following[0].schedule)
        high = f"{schedule} height {self.pen.length(height)}" if kind == "olet" else ""
        self.pen.say(f"{kind} {typed_size(nps, self.units)}{high}")
        self._branch(direction, nps, *following)

    def _tell_unsaid(self, tap: Port) -> None:
        """A route can't say that the weld of an outlet to its header is made in the field."""
        if self.model.welds.get(tap.key, SHOP) != SHOP:
            told = (
                "The weld of an olet or half coupling to its header is a shop weld in a route, whatever the model says."
            )
            self.model.notices[told] = None

    def _bend(self, part: Part, entered: Port) -> Port:
        centre = self.model.centres[part.key]
        self.pen.station(centre, is_first=len(self.seen) == 1)
        left = other_port(part, entered)
        reach, turn = (centre - entered.at).length(), angle_between(centre - entered.at, left.at - centre)
        self.pen.say("elbow short" if is_short(self.model, part, reach, turn) else "elbow")
        return left

    def _tee(self, part: Part, entered: Port) -> Port:
        run, outlet, centre = tee_of(self.model, part)
        self.pen.station(centre, is_first=len(self.seen) == 1)
        is_by_outlet = entered.key == outlet.key
        main, side = (run[0], run[1]) if is_by_outlet else (_other(run, entered), outlet)
        size, outlet_size = self.model.size_at(part, run[0]), self.model.size_at(part, outlet)
        said = "tee"
        if outlet_size != size:
            said += f" {typed_size(size, self.units)}" if is_by_outlet else f" {typed_size(outlet_size, self.units)}"
            if is_by_outlet and (met := beyond(self.model, part, main)) and met[0].schedule:
                self.pen.schedule = met[0].schedule
                said += sch(self.pen.schedule)
            if Style(size, "").joined == BUTT:
                said += f" outlet {self.pen.length((outlet.at - centre).length())}"
        self.pen.say(said)
        self.pen.nps = size
        if self._comes_back(part, side, main):
            self.names[part.key] = f"T{len(self.names) + 1}"
            self.pen.say(f"point {self.names[part.key]}")
            return main
        direction = self.pen.compass(side.at - centre)
        if not direction:
            raise PartRefused(part, f"Its outlet points askew; {_STRAIGHT}.")
        met = beyond(self.model, part, side)
        if met is None or met[0].key in self.seen:
            raise PartRefused(part, "Its outlet closes a ring that a route can't write.")
        self._branch(direction, size if is_by_outlet else outlet_size, *met)
        return main

    def _comes_back(self, tee: Part, side: Port, main: Port) -> bool:
        """Whether what leaves one side of a tee comes back to the other without passing it."""
        start, goal = beyond(self.model, tee, side), beyond(self.model, tee, main)
        if start is None or goal is None:
            return False
        found, waiting = {tee.key, start[0].key, *self.seen}, deque([start[0]])
        while waiting:
            part = waiting.popleft()
            self.model.visited += 1
            if part.key == goal[0].key:
                return True
            for port in part.ports:
                met = beyond(self.model, part, port)
                if met is not None and met[0].key not in found:
                    found.add(met[0].key)
                    waiting.append(met[0])
        return False

    def _branch(self, direction: str, nps: str, part: Part, entered: Port) -> None:
        if self.pen.depth >= _DEEPEST:
            raise PartRefused(part, f"It is in a branch of a branch, {_DEEPEST} deep. Send one area alone.")
        kept = self.pen.branch(direction, nps), self.last
        if (place := self.model.welds.get(entered.key, SHOP)) != SHOP:
            self.pen.mark = place
        if part.kind == SEGMENT:
            self.pen.say_mark()
        # A tee's outlet has the schedule of its run until the branch says another.
        self._follow(part, entered)
        self.pen.end_branch(kept[0])
        self.last = kept[1]

    def _reducer(self, part: Part, entered: Port) -> Port:
        self.pen.station(entered.at, is_first=len(self.seen) == 1)
        far = other_port(part, entered)
        along, aside = narrowing(self.model, part, entered)
        size, following = self.model.size_at(part, entered), self.model.size_at(part, far)
        kind = "reducer"
        if aside.length() > NEAR_MM:
            is_smaller = outside(following) < outside(size)
            flat = self.pen.compass(aside if is_smaller else -aside)
            if not flat:
                raise PartRefused(part, "The flat side of this eccentric reducer lies askew; a route can't say that.")
            kind += f" eccentric flat {flat}"
        met = beyond(self.model, part, far)
        self.pen.schedule = met[0].schedule if met and met[0].schedule else self.pen.schedule
        length = self.pen.length(along.length())
        self.pen.nps = following
        self.pen.say(f"{kind} to {typed_size(following, self.units)}{sch(self.pen.schedule)} length {length}")
        self.pen.at = self.pen.snapped(far.at)
        return far

    def _connector(self, part: Part, entered: Port) -> Port:
        if not is_flange(part):
            if called(part) == "union":
                return self._by_length(part, entered, "item")
            one, two = part.ports
            self.pen.station(one.at + (two.at - one.at).times(Decimal("0.5")), is_first=len(self.seen) == 1)
            self.pen.say("coupling")
            return other_port(part, entered)
        face = face_of(part)
        if entered.key == face.key:
            self.pen.face(face.at)
        else:
            self.pen.station(face.at, is_first=len(self.seen) == 1)
        owner = self.model.owners.get(face.to)
        note = f" ; bolted to {_name(owner) or _NAMELESS}" if owner and self.model.beyond(face) is None else ""
        self.pen.say(f"flange {class_said(part)} {flange_kind(part)}".rstrip() + note)
        return other_port(part, entered)

    def _obstruction(self, part: Part, entered: Port) -> Port | None:
        is_start = len(self.seen) == 1
        if entered.joined == FLANGED:
            if not is_start:
                self.pen.face(entered.at)
            self.pen.say(f"blind {class_said(part)}".rstrip())
        else:
            face, length = cap_face(self.model, part)
            if not is_start:
                self.pen.station(face, is_first=False)
            self.pen.say(f"cap length {self.pen.length(length)}" if length is not None else "cap")
            self.pen.has_pipe = False
        return entered if is_start else None

    def _by_length(self, part: Part, entered: Port, item: str) -> Port:
        far = other_port(part, entered)
        if entered.joined == FLANGED:
            self.pen.face(entered.at)
        else:
            self.pen.station(entered.at, is_first=len(self.seen) == 1)
        name = f" {_name(part)}" if _name(part) else ""
        bolted = " bolted" if all(one.joined == FLANGED for one in part.ports) else ""
        rating = f" class {class_said(part)}" if class_said(part) and not bolted else ""
        self.pen.say(f"{item}{name} length {self.pen.length((far.at - entered.at).length())}{bolted}{rating}")
        self.pen.at = self.pen.snapped(far.at)
        return far


def _other(pair: tuple[Port, Port], one: Port) -> Port:
    return pair[1] if one.key == pair[0].key else pair[0]


def _name(part: Part) -> str:
    """A part's name as a route can have it; empty where it has none."""
    words = re.sub(r"[^\w .,/+()-]+", " ", part.name).split()
    return " ".join(word for word in words if word.casefold() not in _LEADS)[:_LONGEST_NAME].strip()
