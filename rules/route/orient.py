"""Tell every fitting of a route in which direction it lies, and what is bolted or welded to it."""

from decimal import Decimal

from rules.route import shape
from rules.route.ends import INWARD, OUTLET, OUTWARD, Ends, Side
from rules.route.legs import ON_PIPE, Refused, all_legs
from rules.route.parts import Fit, Leg, Mark, Run
from rules.route.shape import RouteFault
from rules.route.vector import Vector

AXIAL = Decimal("1e-12")  # two directions are one within this


def orient(main: Leg, faults: list[RouteFault]) -> None:
    """Tell every fitting in which direction the route comes in and goes out, and what is bolted to it."""
    arrivals: dict[str, Vector] = {}
    names: dict[str, Fit] = {}
    for leg in list(all_legs(main)):
        _settle(leg, faults)
        _orient_leg(leg)
        for index, part in enumerate(leg.parts):
            if isinstance(part, Mark) and part.step.item == "point" and index:
                before = leg.parts[index - 1]
                if isinstance(before, Fit) and before.kind == shape.TEE:
                    names[part.step.name] = before
            if isinstance(part, Mark) and part.step.item == "arrive" and part.step.name:
                direction = next((one.direction for one in reversed(leg.parts[:index]) if isinstance(one, Run)), None)
                if direction is not None:
                    arrivals[part.step.name] = direction
    for name, direction in arrivals.items():
        if name in names:
            names[name].arriving = direction
    for leg in all_legs(main):
        for part in leg.parts:
            if isinstance(part, Fit) and part.kind == shape.TEE and (told := _crooked(part)):
                faults.append(Refused(part.step, told).fault)


def _settle(leg: Leg, faults: list[RouteFault]) -> None:
    """Put a run fitting to fitting between things that are welded to each other with none written between."""
    parts: list[Run | Fit | Mark] = []
    ahead, before = leg.direction, leg.start
    has_run = False
    for part in leg.parts:
        if isinstance(part, Fit) and part.step.item not in ON_PIPE:
            if before is not None and not has_run and not is_bolted(before, part):
                if ahead is not None and (before.kind not in (*shape.ELBOWS, shape.TEE) or before is leg.start):
                    parts.append(Run(part.step, ahead, None, part.style))
                else:
                    told = f"{sentence(part.called)} stands at the same point as {before.called}"
                    accepted = "a run between them, also fitting to fitting"
                    faults.append(Refused(part.step, f"{told}; accepted is {accepted}.").fault)
            elif before is not None and not has_run:
                before.bolted_out, part.bolted_in = True, True
            before, has_run = part, False
        elif isinstance(part, Run):
            ahead, has_run = part.direction, True
        parts.append(part)
    leg.parts = parts


def is_bolted(one: Fit, other: Fit) -> bool:
    """Whether two things that stand against each other are bolted rather than welded."""
    kinds = {one.kind, other.kind}
    if kinds & {shape.GASKET, shape.BLIND}:
        return True
    flanges = [fit for fit in (one, other) if fit.kind in shape.FLANGES]
    by_length = [fit for fit in (one, other) if fit.kind in shape.BY_LENGTH]
    if len(flanges) == 2:
        return True
    return bool(by_length) and any(fit.step.kind == "bolted" for fit in by_length) or bool(flanges and by_length)


def _orient_leg(leg: Leg) -> None:
    ahead = leg.direction
    fits: list[Fit] = []
    for part in leg.parts:
        if isinstance(part, Run):
            ahead = part.direction
            for fit in fits:
                fit.out = fit.out or ahead
            fits = []
        elif isinstance(part, Fit):
            part.into = ahead
            if part.kind not in (*shape.ELBOWS, shape.TEE) and ahead is not None:
                part.out = ahead
            else:
                fits.append(part)
    before: Run | Fit | None = leg.start
    for part in leg.parts:
        if isinstance(part, Mark):
            continue
        if isinstance(part, Fit) and part.kind in shape.FLANGES:
            part.is_face_ahead = before is not None and not part.bolted_in
            if part.kind == shape.BLIND:
                part.is_face_ahead = False
        before = part


def _legs_of_tee(fit: Fit) -> list[tuple[str, Vector]]:
    """The ways out of a tee, by name: in, out, outlet (as the branch or whatever arrives at it)."""
    ways = [(INWARD, -fit.into)] if fit.into is not None else []
    ways += [(OUTWARD, fit.out)] if fit.out is not None else []
    if fit.branch is not None and fit.branch.direction is not None:
        ways.append((OUTLET, fit.branch.direction))
    elif fit.arriving is not None:
        ways.append((OUTLET, -fit.arriving))
    return ways


def _tee_side(fit: Fit, which: str) -> str:
    """Which side of a tee a way is: its outlet is the one across the two that lie in line."""
    if fit.kind != shape.TEE:
        return which
    ways = dict(_legs_of_tee(fit))
    mine = ways.pop(which, None)
    if mine is None or len(ways) != 2:
        return which
    one, other = ways.values()
    return OUTLET if is_same(one, -other) else INWARD


def has_outlet(fit: Fit) -> bool:
    """Whether a tee has all three of its ways."""
    return len(_legs_of_tee(fit)) == 3


def _crooked(fit: Fit) -> str:
    """Why three ways are no tee; empty where they are one."""
    ways = [way for _, way in _legs_of_tee(fit)]
    if len(ways) < 3:
        return ""
    for index in range(3):
        one, other = (way for place, way in enumerate(ways) if place != index)
        if is_same(one, -other):
            is_square = abs(ways[index].dot(one)) < Decimal("1e-9")
            if fit.is_by_outlet and is_square and _tee_side(fit, INWARD) != OUTLET:
                told = f"{sentence(fit.called)} is larger than the pipe that comes into its run"
                return f"{told}; accepted is a reducer before it, or a run that turns there."
            return "" if is_square else f"{sentence(fit.called)} has an outlet that is not at 90°; accepted is square."
    return f"{sentence(fit.called)} has no two ways in line; accepted is a run straight on, and one at 90° to it."


def side_of(ends: Ends, fit: Fit, which: str) -> Side:
    """The side of a fitting, a tee's by how it lies."""
    return ends.side(fit, _tee_side(fit, which))


def is_same(one: Vector, other: Vector) -> bool:
    """Whether two directions are one."""
    return one is other or (one - other).length() < AXIAL


def sentence(words: str) -> str:
    """Words with a capital in front."""
    return words[:1].upper() + words[1:]
