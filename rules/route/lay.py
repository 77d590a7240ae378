"""Lay the legs of a route out in space: every fitting gets its place, every straight stretch its two ends."""

from dataclasses import dataclass, field
from decimal import Decimal

from rules.route import shape
from rules.route.ends import INWARD, OUTLET, OUTWARD, Ends, axis_of
from rules.route.legs import COMPASS, ON_PIPE, Legs, Refused
from rules.route.orient import AXIAL, has_outlet, is_same, orient, sentence, side_of
from rules.route.parts import Fit, Leg, Mark, Run
from rules.route.shape import Closure, Continuation, Node, RouteFault, Support
from rules.route.step import Step
from rules.route.vector import ZERO, Vector
from rules.route.written import length_text

_NIL = Decimal(0)
_ENDINGS = (shape.CAP, shape.BLIND, *shape.FLANGES)


@dataclass(slots=True)
class Weld:
    """A weld that the route names: where, and what is left on the pipe for it."""

    step: Step
    node: int
    run_count: int  # how many runs of the stretch lie before it


@dataclass(slots=True, eq=False)
class Stretch:
    """What lies straight between two fittings; None where it begins or ends with an open pipe.

    start, end    the nodes that it runs between
    leaves, meets the sides of the two fittings that it lies between
    is_tight      nothing but a weld is between the two fittings
    """

    first: Fit | None
    direction: Vector | None
    start: int
    last: Fit | None = None
    end: int = -1
    runs: list[Run] = field(default_factory=list)
    welds: list[Weld] = field(default_factory=list)
    through: list[int] = field(default_factory=list)
    on_pipe: list[Fit] = field(default_factory=list)
    supports: list[Support] = field(default_factory=list)
    leaves: str = OUTWARD
    meets: str = INWARD
    is_tight: bool = False
    is_ended: bool = False
    serial: int = 0


class Layout:
    """Walks the legs; afterwards it holds nodes, fittings, stretches and what else stands at a place."""

    def __init__(self, legs: Legs, ends: Ends) -> None:
        self.legs, self.ends = legs, ends
        self.nodes: list[Node] = []
        self.fits: list[Fit] = []
        self.stretches: list[Stretch] = []
        self.supports: list[Support] = []
        self.continuations: list[Continuation] = []
        self.closures: list[Closure] = []
        self.shown: list[tuple[int, int, Decimal, str]] = []
        self.faults: list[RouteFault] = []
        self.welds: list[Weld] = []
        self.ended: list[int] = [1]  # the nodes of the route's ends, its start first
        self.named: dict[str, int] = {}
        self.joined_at: dict[str, Fit] = {}
        self.stretch: Stretch | None = None
        self.pen = legs.start
        self._begun = 0
        orient(legs.main, self.faults)
        self._lay(legs.main, self._node(ZERO + legs.start, 0))
        # A branch is laid before the stretch that it leaves ends.
        self.stretches.sort(key=lambda one: one.serial)

    def _node(self, at: Vector, line: int) -> int:
        """The node at the pen's place: the last one where that stands there already."""
        self.nodes.append(Node(len(self.nodes) + 1, at, line=line))
        return len(self.nodes)

    def at(self, node: int) -> Vector:
        """Where a node is."""
        return self.nodes[node - 1].at

    # --- one leg ---

    def _lay(self, leg: Leg, node: int) -> None:
        self.pen = self.at(node)
        self.stretch = self._begin(leg.start, leg.direction, node, OUTLET if leg.start else OUTWARD)
        is_sound = True
        for index, part in enumerate(leg.parts):
            try:
                if isinstance(part, Run):
                    node = self._run(part, node, leg, index)
                elif isinstance(part, Fit):
                    node = self._fit(part, node)
                else:
                    self._mark(part, node, leg, index)
            except Refused as refused:
                self.faults.append(refused.fault)
                is_sound = False
                break
        if is_sound:
            self._finish(leg, node)
        self.stretch = None

    def _begin(self, first: Fit | None, direction: Vector | None, node: int, leaves: str = OUTWARD) -> Stretch:
        self._begun += 1
        return Stretch(first, direction, node, leaves=leaves, serial=self._begun)

    def _open(self) -> Stretch:
        assert self.stretch is not None
        return self.stretch

    def _run(self, run: Run, node: int, leg: Leg, index: int) -> int:
        stretch = self._open()
        if stretch.is_ended:
            raise Refused(run.step, "The pipe has ended before this run; accepted is a run before its end.")
        if stretch.direction is None or (not stretch.runs and stretch.first is None):
            stretch.direction = run.direction
        elif not is_same(stretch.direction, run.direction):
            raise Refused(run.step, _turned(stretch, run))
        length = run.length_mm
        if length is None:
            length = self._tight_length(run, leg, index)
            stretch.is_tight = True
        elif stretch.is_tight:
            raise Refused(run.step, "A run fitting to fitting stands alone between its two fittings.")
        stretch.runs.append(run)
        self.pen += run.direction.times(length)
        after = self._node(self.pen, run.step.line)
        self.shown.append((node, after, length, "centre"))
        stretch.through.append(after)
        return after

    def _tight_length(self, run: Run, leg: Leg, index: int) -> Decimal:
        """Both take-outs and one opening: the distance of two fittings with nothing between."""
        following = next((part for part in leg.parts[index + 1 :] if not isinstance(part, Mark)), None)
        stretch = self._open()
        if stretch.runs or stretch.first is None or not isinstance(following, Fit) or following.step.item in ON_PIPE:
            raise Refused(run.step, "A run fitting to fitting needs a fitting directly before and after it.", "along")
        sides = (
            side_of(self.ends, stretch.first, stretch.leaves),
            side_of(self.ends, following, INWARD),
        )
        for side, fit in zip(sides, (stretch.first, following), strict=True):
            if side.joined != shape.BUTT:
                told = f"{sentence(fit.called)} has no end to butt-weld here, so no fitting can stand against it"
                raise Refused(run.step, f"{told}; accepted is a run with a length.", "along")
        return sides[0].takeout_mm + sides[1].takeout_mm + self.legs.opening_mm

    def _fit(self, fit: Fit, node: int) -> int:
        stretch = self._open()
        fit.serial = len(self.fits)
        self.fits.append(fit)
        fit.node = fit.far_node = node
        fit.at = self.pen
        if fit.step.item in ON_PIPE:
            stretch.on_pipe.append(fit)
        else:
            node = self._through(fit, node)
        if fit.branch is not None:
            kept = self.stretch, self.pen
            self._lay(fit.branch, fit.node)
            self.stretch, self.pen = kept
        elif fit.step.item in (*ON_PIPE, "tee") and fit.arriving is None and not has_outlet(fit):
            self.faults.append(
                Refused(fit.step, f"The outlet of {fit.called} is open; accepted is a branch after it.").fault
            )
        return node

    def _through(self, fit: Fit, node: int) -> int:
        """Close the stretch before a fitting and open the one after it, from its far end."""
        stretch = self._open()
        if stretch.runs or stretch.first is not None or stretch.welds:
            stretch.last, stretch.end = fit, node
            self.stretches.append(stretch)
        length = self.ends.length(fit)
        if length:
            axis = axis_of(fit)
            self.pen += axis.times(length)
            if fit.kind == shape.ECCENTRIC:
                self.pen += self._shift(fit, axis)
            far = self._node(self.pen, fit.line)
            self.shown.append((node, far, length, "length"))
            node = fit.far_node = far
        self.stretch = self._begin(fit, fit.out, node)
        return node

    def _shift(self, fit: Fit, axis: Vector) -> Vector:
        flat = COMPASS[fit.step.along[0].direction]
        if abs(flat.dot(axis)) > AXIAL:
            told = "The flat side of an eccentric reducer lies along its axis"
            raise Refused(fit.step, f"{told}; accepted are directions at right angles to the run.", "along")
        return flat.times(self.ends.shift(fit))

    # --- marks ---

    def _mark(self, mark: Mark, node: int, leg: Leg, index: int) -> None:
        step, stretch = mark.step, self._open()
        if step.item.endswith("weld"):
            self.welds.append(Weld(step, node, len(stretch.runs)))
            stretch.welds.append(self.welds[-1])
        elif step.item == "support":
            support = Support(node, self.pen, step.kind, step.name, step.is_welded)
            self.supports.append(support)
            if step.is_welded:
                stretch.supports.append(support)
        elif step.item == "point":
            self._name(step, node, leg, index)
        elif step.item == "arrive":
            self._arrive(step, node)
        elif step.item in ("continue on", "continued from"):
            self._continue(step, node, leg)
        else:
            self._end_pipe(step)

    def _name(self, step: Step, node: int, leg: Leg, index: int) -> None:
        if step.name in self.named:
            line = self.nodes[self.named[step.name] - 1].line
            told = f"The point {step.name} stands twice, first at line {line}"
            raise Refused(step, f"{told}; accepted is a name of its own for each.", "name")
        self.named[step.name] = node
        self.nodes[node - 1] = Node(node, self.pen, step.name, self.nodes[node - 1].line)
        before = leg.parts[index - 1] if index else None
        if isinstance(before, Fit):
            self.joined_at[step.name] = before

    def _arrive(self, step: Step, node: int) -> None:
        if step.place is not None:
            given = (step.place.east, step.place.north, step.place.up)
            wanted = Vector(*(own if one is None else one for one, own in zip(given, self.pen.parts(), strict=True)))
        elif step.name in self.named:
            wanted = self.at(self.named[step.name])
        else:
            raise Refused(step, self._no_point(step.name), "place")
        closure = Closure(step.line, self.pen, wanted, step.name)
        self.closures.append(closure)
        if missed := missing(closure, self.legs.setting.tolerance_mm, self.legs.setting.units):
            raise Refused(step, missed, "place")
        fit = self.joined_at.get(step.name)
        if fit is not None and fit.arriving is not None:
            stretch = self._open()
            stretch.last, stretch.end, stretch.meets = fit, node, OUTLET
            self.stretches.append(stretch)
            self.stretch = self._begin(None, None, node)
            self.stretch.is_ended = True

    def _no_point(self, name: str) -> str:
        known = ", ".join(self.named) or "none yet: name one with a point step"
        if later := next((one.line for one in self.legs.points if one.name == name), None):
            return f"The point {name} stands later, at line {later}; accepted is one named before this: {known}."
        return f"There is no point {name}; accepted are {known}."

    def _continue(self, step: Step, node: int, leg: Leg) -> None:
        stretch = self._open()
        is_start = step.item == "continued from"
        if is_start:
            run = next((part for part in leg.parts if isinstance(part, Run)), None)
            if stretch.runs or stretch.first or run is None:
                raise Refused(step, "A route is continued from elsewhere only at its start, before its first run.")
            self.continuations.append(Continuation(node, self.pen, -run.direction, step.name, is_start=True))
            return
        outward = stretch.direction or (axis_of(stretch.first) if stretch.first else None)
        if outward is None:
            raise Refused(step, "Nothing comes before this; accepted is a run.")
        self.continuations.append(Continuation(node, self.pen, outward, step.name))
        stretch.is_ended = True

    def _end_pipe(self, step: Step) -> None:
        stretch = self._open()
        if not stretch.runs:
            raise Refused(step, "No pipe comes before this end; accepted is a run.")
        stretch.is_ended = True

    # --- the end of a leg ---

    def _finish(self, leg: Leg, node: int) -> None:
        stretch = self._open()
        step = leg.parts[-1].step if leg.parts else leg.step
        if step is None:
            return
        if stretch.runs or stretch.first:  # neither where it has arrived at a tee
            self.ended.append(node)
        if stretch.runs:
            if not stretch.is_ended:
                self.faults.append(Refused(step, _dangling(leg)).fault)
            stretch.end = node
            self.stretches.append(stretch)
            return
        fit = stretch.first
        if stretch.is_ended or (fit and (fit.kind in _ENDINGS or fit.kind in (shape.GASKET, *shape.BY_LENGTH))):
            return
        if leg.parts or leg.step:
            self.faults.append(Refused(step, _dangling(leg)).fault)


def missing(closure: Closure, tolerance_mm: Decimal, units: str) -> str:
    """By how much a route misses where it should be, along each axis; empty where it does not."""
    names = (("east", "west"), ("north", "south"), ("up", "down"))
    told = [
        f"{length_text(abs(part), units)} too far {ahead if part < 0 else back}"
        for part, (ahead, back) in zip(closure.miss.parts(), names, strict=True)
        if abs(part) > tolerance_mm
    ]
    name = closure.name or "this point"
    return f"The route misses {name}: it is {', '.join(told)}." if told else ""


def _turned(stretch: Stretch, run: Run) -> str:
    if stretch.runs:
        return "The route turns here without a fitting; accepted is, for example, an elbow before this run."
    if stretch.first is not None:
        return (
            f"The route turns at {stretch.first.called}, which goes straight on; accepted is an elbow before this run."
        )
    return "The branch turns before its first fitting; accepted is a run in the branch's own direction."


def _dangling(leg: Leg) -> str:
    what = "The branch" if leg.start else "The route"
    accepted = "a cap, a flange, an open end, continue on, or arrive at a tee's name"
    return f"{what} ends here with nothing that closes it; accepted are {accepted}."
