"""From the steps of a route to its legs: runs with their directions, fittings with their sizes, branches in place."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from decimal import Decimal

from rules.route import shape
from rules.route.parts import Fit, Leg, Mark, Run, Setting, Style, size_of
from rules.route.shape import RouteFault
from rules.route.step import Move, Step
from rules.route.vector import ZERO, Vector
from rules.size_words import show_size, typed_size

_HALF = Decimal("0.5").sqrt()
_ONE, _NIL = Decimal(1), Decimal(0)
COMPASS = {
    "north": Vector(_NIL, _ONE, _NIL),
    "south": Vector(_NIL, -_ONE, _NIL),
    "east": Vector(_ONE, _NIL, _NIL),
    "west": Vector(-_ONE, _NIL, _NIL),
    "up": Vector(_NIL, _NIL, _ONE),
    "down": Vector(_NIL, _NIL, -_ONE),
    "northeast": Vector(_HALF, _HALF, _NIL),
    "northwest": Vector(-_HALF, _HALF, _NIL),
    "southeast": Vector(_HALF, -_HALF, _NIL),
    "southwest": Vector(-_HALF, -_HALF, _NIL),
}
AXES = ("E", "N", "EL")
ON_PIPE = ("olet", "half coupling", "stub")
BRANCHING = (*ON_PIPE, "tee")
_KINDS = {
    "tee": shape.TEE,
    "coupling": shape.COUPLING,
    "cap": shape.CAP,
    "blind": shape.BLIND,
    "gasket": shape.GASKET,
    "valve": shape.VALVE,
    "instrument": shape.INSTRUMENT,
    "item": shape.ITEM,
    "olet": shape.OLET,
    "half coupling": shape.HALF_COUPLING,
    "stub": shape.PAD,
    "elbow": shape.ELBOW_90,
    "flange": "",
    "reducer": "",
}
_FLANGE_KINDS = {"weld-neck": shape.WELD_NECK, "slip-on": shape.SLIP_ON, "socket": shape.SOCKET_FLANGE}
_MARKS = (
    "support", "point", "arrive", "continue on", "continued from", "open end", "field weld", "field fit weld",
    "shop weld",
)  # fmt: skip


class Refused(Exception):
    """A step that can't stand where it stands; the column's name, and the sentence."""

    def __init__(self, step: Step, message: str, column: str = "") -> None:
        super().__init__(message)
        self.step, self.column = step, column

    @property
    def fault(self) -> RouteFault:
        """The fault with its place in the text."""
        at = self.step.columns.get(self.column) or self.step.columns.get("", 1)
        return RouteFault(self.step.line, at, str(self))


class Legs:
    """Reads the steps one by one; `main` is the main run, `gap_mm` and `opening_mm` what the whole route uses."""

    def __init__(self, steps: Sequence[Step], setting: Setting) -> None:
        self.setting = setting
        self.points = [step for step in steps if step.item == "point"]
        self.style = Style(setting.nps, setting.schedule)
        self.gap_mm, self.opening_mm = setting.socket_gap_mm, setting.opening_mm
        self.start = ZERO
        self.not_given: tuple[str, ...] = AXES
        self.main = Leg()
        self.leg = self.main
        self.faults: list[RouteFault] = []
        self._outer: list[tuple[Leg, Style, Step]] = []
        self._is_sized = False
        for step in steps:
            try:
                self._take(step)
            except Refused as refused:
                self.faults.append(refused.fault)
        for _, _, begun in self._outer:
            self.faults.append(Refused(begun, 'The branch has no end; accepted is an "end branch" after it.').fault)

    def _take(self, step: Step) -> None:
        item = step.item
        if item == "run":
            self._run(step)
        elif item == "offset":
            self._offset(step)
        elif item in _KINDS:
            self._fit(step)
        elif item in _MARKS:
            self.leg.parts.append(Mark(step))
        elif item == "branch":
            self._branch(step)
        elif item == "end branch":
            self._end_branch(step)
        elif item:
            self._set(step)

    # --- what holds from here on ---

    def _set(self, step: Step) -> None:
        if step.item == "size":
            self._size(step)
        elif step.item == "ends":
            self.style = replace(self.style, ends=step.kind, rating=step.rating or self.style.rating)
        elif step.item == "start":
            if any(not isinstance(part, Mark) for part in self.main.parts):
                raise Refused(step, "The start stands after the first run or fitting; accepted is once, before them.")
            if step.place:
                given = (step.place.east, step.place.north, step.place.up)
                self.start = Vector(*(value or _NIL for value in given))
                self.not_given = tuple(name for name, value in zip(AXES, given, strict=True) if value is None)
        elif step.item == "gap":
            self.gap_mm = step.length_mm or _NIL
        else:
            self.opening_mm = step.length_mm or _NIL

    def _size(self, step: Step) -> None:
        laid = [part for part in self.leg.parts if not isinstance(part, Mark)]
        if step.nps != self.style.nps and (laid or self.leg.start):
            told = (
                f"The size changes from {self._size_of(self.style.nps)} to {self._size_of(step.nps)} without a reducer"
            )
            instead = f"reducer to {typed_size(step.nps, self.setting.units)}"
            raise Refused(step, f'{told}; accepted is, for example, "{instead}" instead.', "NPS")
        if laid and isinstance(laid[-1], Run) and step.schedule not in ("", self.style.schedule):
            weld = self.leg.parts[-1]
            if not (isinstance(weld, Mark) and weld.step.item.endswith("weld")):
                told = f"The schedule changes from {self.style.schedule} to {step.schedule} within a length of pipe"
                raise Refused(step, f'{told}; accepted is a "shop weld" or a "field weld" before it.', "schedule")
        self.style = replace(self.style, nps=step.nps, schedule=step.schedule or self.style.schedule)

    def _size_of(self, nps: str) -> str:
        return show_size(nps, self.setting.units)

    # --- runs ---

    def _run(self, step: Step) -> None:
        vector = _sum(step.along)
        length = vector.length() if len(step.along) > 1 else step.along[0].length_mm
        self.leg.parts.append(Run(step, vector.unit(), length, self.style))

    def _offset(self, step: Step) -> None:
        """An elbow, the travel, and an elbow back: the advance follows from the true offset and the angle."""
        ahead = self._ahead()
        if ahead is None:
            raise Refused(step, "An offset needs a run before it, which says where it goes on to.")
        if any(move.length_mm is None for move in step.along):
            raise Refused(step, "An offset needs its set as a length, for example up 300.", "along")
        across = _sum(step.along)
        if abs(ahead.dot(across)) > Decimal("1e-9") * across.length():
            told = "The set and roll of an offset lie across the run before it, and these do not"
            raise Refused(step, f"{told}; accepted are directions at right angles to it.", "along")
        degrees = step.degrees or Decimal(45)
        if degrees >= 90:
            raise Refused(step, "An offset by 90° has no travel of its own; accepted are angles under 90°.", "angle")
        travel = across + ahead.times(across.length() * cotangent(degrees))
        self.leg.parts.append(Fit(step, shape.ELBOW_90, self.style, degrees=degrees))
        self.leg.parts.append(Run(step, travel.unit(), travel.length(), self.style))
        self.leg.parts.append(Fit(step, shape.ELBOW_90, self.style, degrees=degrees, out=ahead))

    def _ahead(self) -> Vector | None:
        for part in reversed(self.leg.parts):
            if isinstance(part, Run):
                return part.direction
            if isinstance(part, Fit) and part.out is not None:
                return part.out
        return self.leg.direction

    # --- fittings ---

    def _fit(self, step: Step) -> None:
        fit = Fit(step, _KINDS[step.item], self.style, degrees=step.degrees)
        if step.item == "flange":
            usual = "socket" if self.style.joined == shape.SOCKET else "weld-neck"
            fit.kind = _FLANGE_KINDS[step.kind or usual]
        elif step.item == "reducer":
            self._reduce(fit)
        elif step.item == "tee" and size_of(step.nps or self.style.nps) > size_of(self.style.nps):
            # The route comes in by the outlet and goes on in the run; what doesn't lie so meets a pipe of another size.
            fit.second, fit.is_by_outlet = self.style, True
            fit.style = self.style = replace(self.style, nps=step.nps, schedule=step.schedule or self.style.schedule)
        elif step.item in BRANCHING:
            fit.second = self._outlet(step)
        self.leg.parts.append(fit)

    def _reduce(self, fit: Fit) -> None:
        step = fit.step
        if step.nps == self.style.nps:
            raise Refused(step, f"The reducer is from {self._size_of(step.nps)} to the same size.", "NPS")
        fit.kind = shape.ECCENTRIC if step.kind == "eccentric" or step.along else shape.CONCENTRIC
        if fit.kind == shape.ECCENTRIC and not step.along:
            raise Refused(step, "An eccentric reducer needs its flat side; accepted is, for example, flat down.")
        if step.kind == "concentric" and step.along:
            raise Refused(step, "A concentric reducer has no flat side; accepted is eccentric.", "along")
        self.style = fit.second = replace(self.style, nps=step.nps, schedule=step.schedule or self.style.schedule)

    def _outlet(self, step: Step) -> Style:
        """The size of a branch; an outlet larger than the run is none."""
        nps = step.nps or self.style.nps
        if size_of(nps) > size_of(self.style.nps):
            told = f"The outlet {self._size_of(nps)} is larger than the run {self._size_of(self.style.nps)}"
            raise Refused(step, f"{told}; accepted are sizes up to the run's.", "NPS")
        ends = step.kind if step.item == "olet" and step.kind else self.style.ends
        ends = shape.SOCKET if step.item == "half coupling" else ends
        return replace(self.style, nps=nps, schedule=step.schedule or self.style.schedule, ends=ends)

    # --- branches ---

    def _branch(self, step: Step) -> None:
        fit = next((part for part in reversed(self.leg.parts) if not _is_point(part)), None)
        leg = Leg(COMPASS[step.along[0].direction], step=step)
        self._outer.append((self.leg, self.style, step))
        is_free = isinstance(fit, Fit) and fit.step.item in BRANCHING and fit.branch is None
        if isinstance(fit, Fit) and is_free:
            fit.branch, leg.start = leg, fit
            aside = fit.style if fit.is_by_outlet else fit.second
            self.style = replace(aside or self.style, ends=self.style.ends)
        self.leg = leg
        if not is_free:
            accepted = ", ".join(BRANCHING)
            raise Refused(step, f"The branch has nothing to leave from; accepted before it are {accepted}.")

    def _end_branch(self, step: Step) -> None:
        if not self._outer:
            raise Refused(step, 'No branch is open here; accepted is an "end branch" after its "branch".')
        self.leg, self.style, _ = self._outer.pop()


def _is_point(part: Run | Fit | Mark) -> bool:
    return isinstance(part, Mark) and part.step.item == "point"


def _sum(moves: Sequence[Move]) -> Vector:
    total = ZERO
    for move in moves:
        total += COMPASS[move.direction].times(_ONE if move.length_mm is None else move.length_mm)
    return total


def all_legs(leg: Leg) -> Iterator[Leg]:
    """A leg and every branch of it, in the order of the text."""
    yield leg
    for part in leg.parts:
        if isinstance(part, Fit) and part.branch is not None:
            yield from all_legs(part.branch)


def tangent(degrees: Decimal) -> Decimal:
    """The tangent of an angle from 0 to under 90°, to 25 figures: exactly 1 at 45°."""
    sine, cosine = _sine_and_cosine(degrees)
    return sine / cosine


def cotangent(degrees: Decimal) -> Decimal:
    """The cotangent of an angle over 0 and up to 90°."""
    sine, cosine = _sine_and_cosine(degrees)
    return cosine / sine


_PI = Decimal("3.141592653589793238462643383279503")


def _sine_and_cosine(degrees: Decimal) -> tuple[Decimal, Decimal]:
    if degrees == 45:
        return _ONE, _ONE  # only their ratio is asked for
    angle = degrees * _PI / 180
    sine, cosine, term, order = _NIL, _NIL, _ONE, 0
    while abs(term) > Decimal("1e-30"):
        turn = -1 if order % 4 >= 2 else 1
        sine, cosine = (sine + turn * term, cosine) if order % 2 else (sine, cosine + turn * term)
        order += 1
        term = term * angle / order
    return sine, cosine
