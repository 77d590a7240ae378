"""From the steps of a route to its shape: places, pieces with cut lengths, joints, dimensions and spools."""

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from rules.pipe import UnknownSize, pipe
from rules.route import shape
from rules.route.ends import INWARD, OUTLET, OUTWARD, Ends, angle_of
from rules.route.joining import Joining
from rules.route.lay import Layout
from rules.route.legs import COMPASS, Legs
from rules.route.orient import side_of
from rules.route.parse import parse_route
from rules.route.parts import Fit, Setting
from rules.route.shape import (
    Component,
    ComponentEnd,
    Dimension,
    Elevation,
    EndPlace,
    Flow,
    JointPlace,
    PipePiece,
    RouteFault,
    RouteShape,
)
from rules.route.spools import spool_marks, spool_shapes
from rules.route.step import Step
from rules.route.vector import Vector
from rules.route.written import coordinates_text, dimension_text, elevation_text

_NIL = Decimal(0)
MOST_JOINTS = 400


def shape_of_text(text: str, setting: Setting) -> RouteShape:
    """The shape of a route as it is typed; a text with faults has no more than them."""
    steps, faults = parse_route(text, setting.units)
    return RouteShape(faults=faults) if faults else shape_of(steps, setting)


def shape_of(steps: Sequence[Step], setting: Setting) -> RouteShape:
    """The shape of a route.

    steps     as `parse_route` reads them
    setting   the line's size and schedule and what the job decides
    Returns   everything in the order of the flow, pieces marked along it, joints without numbers; what can't be laid
              is told in `faults`, with its line and column
    Source    ASME B16.9, B16.11, B16.5 for take-outs, through `rules.cut_length`
    """
    for step in steps:
        if told := _unknown_pipe(step, setting):
            return RouteShape(faults=(told,))
    legs = Legs(steps, setting)
    layout = Layout(legs, Ends(setting.units, setting.flanges_edition))
    joining = Joining(layout, layout.ends)
    if not (legs.faults or layout.faults):
        joining.join()
    faults = sorted([*legs.faults, *layout.faults, *joining.faults], key=lambda one: (one.line, one.column))
    faults = list(dict.fromkeys(faults))
    if len(joining.joints) > MOST_JOINTS:
        many = (
            f"The sheet has {len(joining.joints)} joints; accepted are at most {MOST_JOINTS}: continue it on another."
        )
        faults.append(RouteFault(steps[-1].line, 1, many))
    if faults:
        return RouteShape(nodes=tuple(layout.nodes), closures=tuple(layout.closures), faults=tuple(faults))
    return _Shaping(layout, joining, setting).shape()


def _unknown_pipe(step: Step, setting: Setting) -> RouteFault | None:
    """A schedule that its size has not."""
    try:
        if step.nps:
            pipe(step.nps, step.schedule or setting.schedule, setting.units)
    except UnknownSize as error:
        column = step.columns.get("schedule", step.columns.get("NPS", 1))
        return RouteFault(step.line, column, str(error))
    return None


class _Shaping:
    """Puts together what the layout and the joining have found."""

    def __init__(self, layout: Layout, joining: Joining, setting: Setting) -> None:
        self.layout, self.joining, self.setting = layout, joining, setting

    def shape(self) -> RouteShape:
        """The whole shape."""
        pipes = [replace(one.pipe, mark=one.mark) for one in self.joining.pieces if one.pipe]
        components = [self._component(one.fit, one.mark) for one in self.joining.pieces if one.fit]
        joints = [
            replace(one.place, piece_a=one.a.mark, piece_b=one.b.mark if one.b else "") for one in self.joining.joints
        ]
        marks = [one.mark for one in self.joining.pieces]
        spools = spool_marks(marks, joints, self.setting.spool_prefix)
        pipes = [replace(one, spool=spools.get(one.mark, "")) for one in pipes]
        components = [replace(one, spool=spools.get(one.mark, "")) for one in components]
        joints = [_in_spools(one, spools) for one in joints]
        weights = {
            one.mark: one.fit.step.weight_kg
            for one in self.joining.pieces
            if one.fit and one.fit.step.weight_kg is not None
        }
        known = {mark: weight for mark, weight in weights.items() if weight is not None}
        return RouteShape(
            nodes=tuple(self.layout.nodes),
            pipes=tuple(pipes),
            components=tuple(components),
            joints=tuple(joints),
            supports=tuple(self.layout.supports),
            continuations=tuple(self.layout.continuations),
            dimensions=tuple(self._dimensions()),
            elevations=tuple(self._elevations()),
            end_places=tuple(self._end_places()),
            flow=tuple(_flow(pipes)),
            closures=tuple(self.layout.closures),
            spools=spool_shapes(pipes, components, joints, known, self.setting),
            notes=tuple(_notes(components)),
            from_start=self.layout.legs.not_given,
        )

    def _component(self, fit: Fit, mark: str) -> Component:
        centre = self.layout.at(fit.node)
        length = self.layout.ends.length(fit)
        ends = tuple(self._component_ends(fit, centre))
        return Component(
            mark=mark,
            kind=fit.kind,
            node=fit.node,
            centre=centre,
            ends=ends,
            nps=fit.style.nps,
            second_nps=fit.second.nps if fit.second and fit.second.nps != fit.style.nps else "",
            schedule=fit.style.schedule,
            pressure_class=_rating(fit),
            length_mm=length or _through(fit, ends),
            angle=_turn(fit),
            flat=COMPASS[fit.step.along[0].direction] if fit.kind == shape.ECCENTRIC else None,
            tag=fit.step.name if fit.kind in shape.BY_LENGTH else "",
            width_mm=(fit.step.length_mm or _NIL) if fit.kind == shape.PAD else _NIL,
            line=fit.line,
        )

    def _component_ends(self, fit: Fit, centre: Vector) -> list[ComponentEnd]:
        into, out = fit.into, fit.out or fit.into
        if fit.kind in (shape.OLET, shape.HALF_COUPLING, shape.PAD):
            return self._set_on(fit, centre)
        far = self.layout.at(fit.far_node)
        if fit.kind == shape.CAP or fit.kind == shape.BLIND:
            outward = -into if into is not None else out
            which = INWARD
            if into is None or self._is_leg_start(fit):
                outward, which = out, OUTWARD
            return [self._end(fit, which, centre, outward)] if outward is not None else []
        found = []
        if (back := into or out) is not None:
            found.append(self._end(fit, INWARD, centre, -back))
        if (ahead := out or into) is not None and not (fit.kind == shape.TEE and fit.out is None):
            found.append(self._end(fit, OUTWARD, far, ahead))
        if fit.kind == shape.TEE:
            outlet = fit.branch.direction if fit.branch else None
            outlet = outlet or (-fit.arriving if fit.arriving else None)
            if outlet is not None:
                found.append(self._end(fit, OUTLET, centre, outlet))
        return found

    def _is_leg_start(self, fit: Fit) -> bool:
        return any(one.first is fit and one.runs for one in self.layout.stretches)

    def _set_on(self, fit: Fit, centre: Vector) -> list[ComponentEnd]:
        axis = fit.branch.direction if fit.branch else None
        if axis is None:
            return []
        half = pipe(fit.style.nps, fit.style.schedule).od(self.setting.units) / 2
        second = fit.second.nps if fit.second else fit.style.nps
        seat = ComponentEnd(centre + axis.times(half), -axis, second, half, shape.ON_PIPE)
        return [seat] if fit.kind == shape.PAD else [seat, self._end(fit, OUTLET, centre, axis)]

    def _end(self, fit: Fit, which: str, centre: Vector, outward: Vector) -> ComponentEnd:
        side = side_of(self.layout.ends, fit, which)
        at = centre + outward.times(side.takeout_mm)
        joined = shape.SLIP_ON if side.joined == shape.SLIP_ON else side.joined
        return ComponentEnd(at, outward, side.style.nps, side.takeout_mm, joined, side.end.depth_mm)

    def _dimensions(self) -> list[Dimension]:
        units, found = self.setting.units, []
        for start, end, length, of in self.layout.shown:
            one, other = self.layout.at(start), self.layout.at(end)
            found.append(Dimension(one, other, length, dimension_text(length, units), of))
            if of == "centre":
                found += _offsets(one, other, units)
        return found

    def _elevations(self) -> list[Elevation]:
        """Both ends of what rises or falls, but for the route's own ends; no height twice in a row."""
        ends = {self.layout.at(node) for node in self.layout.ended}
        shown = [1]
        for start, end, _, _ in self.layout.shown:
            if self.layout.at(start).up != self.layout.at(end).up:
                shown += [start, end]
        found: list[Elevation] = []
        last = ""
        for node in dict.fromkeys(shown):
            at = self.layout.at(node)
            text = elevation_text(at.up, self.setting.units)
            if text != last and at not in ends:
                found.append(Elevation(node, at, text))
            last = text
        return found

    def _end_places(self) -> list[EndPlace]:
        """The coordinates of the start and of the end of each leg, once each, in the order of their nodes."""
        places = {self.layout.at(node): node for node in sorted(self.layout.ended, reverse=True)}
        units = self.setting.units
        return [EndPlace(node, at, coordinates_text(at, units)) for at, node in reversed(places.items())]


def _offsets(one: Vector, other: Vector, units: str) -> list[Dimension]:
    """The sides of the box of a skew run: first level, east then north, then up."""
    apart = other - one
    sides = [
        Vector(apart.east, _NIL, _NIL),
        Vector(_NIL, apart.north, _NIL),
        Vector(_NIL, _NIL, apart.up),
    ]
    sides = [side for side in sides if side.length()]
    if len(sides) < 2:
        return []
    found, at = [], one
    for side in sides:
        found.append(Dimension(at, at + side, side.length(), dimension_text(side.length(), units), "offset"))
        at += side
    return found


def _in_spools(one: JointPlace, spools: dict[str, str]) -> JointPlace:
    a, b = spools.get(one.piece_a, ""), spools.get(one.piece_b, "")
    return replace(one, spool=a, spool_b=b if b != a else "")


def _flow(pipes: Sequence[PipePiece]) -> list[Flow]:
    return [Flow((one.first + one.last).times(Decimal("0.5")), one.direction) for one in pipes]


def _rating(fit: Fit) -> str:
    if fit.kind in shape.FLANGES or fit.kind in shape.BY_LENGTH:
        return fit.step.rating
    second = fit.second or fit.style
    is_socket = shape.SOCKET in (fit.style.joined, second.joined) if fit.kind == shape.OLET else (
        fit.kind == shape.HALF_COUPLING or fit.style.joined == shape.SOCKET)  # fmt: skip
    return fit.style.rating if is_socket and fit.kind not in (shape.GASKET, shape.PAD) else ""


def _through(fit: Fit, ends: Sequence[ComponentEnd]) -> Decimal:
    """How long a flange is through its hub, or a cap, whichever way it looks."""
    if fit.kind not in (shape.CAP, *shape.FLANGES):
        return _NIL
    return max((one.takeout_mm + (one.depth_mm or _NIL) for one in ends), default=_NIL)


def _turn(fit: Fit) -> float:
    from_to = fit.into, fit.out
    if fit.kind not in shape.ELBOWS or None in from_to:
        return 0.0
    return angle_of(fit)


def _notes(components: Sequence[Component]) -> list[str]:
    notes = []
    if any(one.kind == shape.SLIP_ON for one in components):
        notes.append("A pipe is set back from a slip-on flange's face by its own wall: common practice, no source.")
    if any(one.kind == shape.ELBOW_CUT for one in components):
        notes.append("An elbow of another angle than 90° or 45° is cut from one of 90°.")
    return notes
