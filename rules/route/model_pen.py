"""The pen that writes a route: it stands where the last step left it, and knows a length without the model's noise."""

from decimal import ROUND_HALF_EVEN, Decimal

from rules.route.legs import COMPASS
from rules.route.model import NEAR_MM
from rules.route.vector import ZERO, Vector
from rules.size_words import typed_size
from rules.units import MM_PER_INCH, US, plain, show_feet

_NEAR_GRID_MM = Decimal("0.02")
_FINE = Decimal("0.001")
_SQUARE = Decimal("1e-5")
_AXES = (("east", "west"), ("north", "south"), ("up", "down"))
ROOT_ADDED = "Where two fittings are welded to each other, the root opening is added to the model's distance."


class Pen:
    """Writes steps, each from where the last one ended.

    nps, schedule   of the pipe that the pen has written last
    units      of the lengths: SI in mm, US in feet and inches where they are whole sixteenths
    lines      what is written so far
    has_pipe   pipe has been written since the last fitting, so that there may be a run before the next
    mark       the weld that is said before the next fitting
    notices    remarks on what was written
    """

    def __init__(self, units: str) -> None:
        self.units = units
        self.lines: list[str] = []
        self.at = ZERO
        self.nps = self.schedule = ""
        self.has_pipe = True
        self.mark = ""
        self.depth = 0
        self.notices: dict[str, None] = {}

    def start(self, at: Vector) -> None:
        """Begin at a place."""
        self.at = self.snapped(at)
        place = " ".join(
            f"{axis} {'-' if value < 0 else ''}{self.length(abs(value))}"
            for axis, value in zip(("E", "N", "EL"), self.at.parts(), strict=True)
        )
        self.say(f"start at {place}")

    def branch(self, direction: str, nps: str) -> tuple[Vector, str, str, bool]:
        """Begin a branch of a size; gives what `end_branch` takes to go back."""
        kept = self.at, self.nps, self.schedule, self.has_pipe
        self.say(f"branch {direction}")
        self.depth += 1
        self.nps, self.has_pipe = nps, False
        return kept

    def end_branch(self, kept: tuple[Vector, str, str, bool]) -> None:
        """Back to where the branch began."""
        self.depth -= 1
        self.say("end branch")
        self.at, self.nps, self.schedule, self.has_pipe = kept

    def station(self, at: Vector, *, is_first: bool) -> None:
        """Go to where a fitting stands; one that is welded to the fitting before it has no pipe between."""
        if self.has_pipe or is_first:
            self.run(at)
        else:
            self._tight(at)
        self.has_pipe = False
        self.say_mark()

    def say_mark(self) -> None:
        """Say the weld that waits to be said, if any."""
        if self.mark:
            self.say(self.mark)
        self.mark = ""

    def _tight(self, at: Vector) -> None:
        moves = self._moves(at)
        if not moves:
            return
        direction = self.compass(at - self.at)
        if not direction:
            self.run(at)
            return
        self.say(f"run {direction} fitting to fitting")
        self.notices[ROOT_ADDED] = None
        self.at = self.snapped(at)

    def face(self, at: Vector) -> None:
        """Go to what is bolted on: over the thickness of a gasket where the model leaves room for one."""
        apart = (at - self.at).length()
        if apart > NEAR_MM:
            self.say(f"gasket {self.length(apart)}")
            self.at = self.snapped(at)
        self.has_pipe = False

    def run(self, at: Vector) -> None:
        """Go to a place, along each axis."""
        moves = self._moves(at)
        if moves:
            self.say("run " + " ".join(f"{direction} {self.length(length)}" for direction, length in moves))
            for direction, length in moves:
                self.at += COMPASS[direction].times(length)

    def _moves(self, at: Vector) -> list[tuple[str, Decimal]]:
        moves = []
        for (ahead, back), apart in zip(_AXES, (self.snapped(at) - self.at).parts(), strict=True):
            if abs(apart) > _NEAR_GRID_MM:
                moves.append((ahead if apart > 0 else back, abs(apart)))
        return moves

    def size(self, nps: str, schedule: str) -> None:
        """Say the size from here on."""
        self.nps, self.schedule = nps, schedule or self.schedule
        self.say(f"size {typed_size(nps, self.units)}{sch(schedule)}")

    def say(self, line: str) -> None:
        """Write a step as it stands."""
        self.lines.append("  " * self.depth + line)

    def compass(self, along: Vector) -> str:
        """The direction of the compass, up or down, that a vector has; empty where it has none."""
        if along.length() <= NEAR_MM:
            return ""
        way = along.unit()
        return next((name for name, one in COMPASS.items() if 1 - one.dot(way) < _SQUARE), "")

    def snapped(self, at: Vector) -> Vector:
        """A place without the noise of an export."""
        return Vector(*(self.grid(one) for one in at.parts()))

    def grid(self, mm: Decimal) -> Decimal:
        """A figure without the noise of an export: on a half mm or a sixteenth of an inch where it is near one."""
        steps = (MM_PER_INCH / 16, Decimal("0.5")) if self.units == US else (Decimal("0.5"), MM_PER_INCH / 16)
        for step in steps:
            near = (mm / step).to_integral_value(ROUND_HALF_EVEN) * step
            if abs(near - mm) <= _NEAR_GRID_MM:
                return near
        return mm.quantize(_FINE, ROUND_HALF_EVEN)

    def length(self, mm: Decimal) -> str:
        """A length as the route has it, without noise."""
        mm = self.grid(mm)
        if self.units != US:
            return plain(mm)
        return show_feet(mm) if not mm % (MM_PER_INCH / 16) else f"{plain(mm)} mm"


def sch(schedule: str) -> str:
    """The clause of a schedule; empty where none is known."""
    return f" sch {schedule}" if schedule else ""
