"""The joint in section with its real dimensions, and its dial: from records and tables to drawings."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal

from joints.queries.joint_asks import Plan
from records.models import FitUp, Joint, Pass
from reports.data import DialPass, DialSegment, Dimension, SectionData
from rules.examination import judged_wall, required_leg
from rules.pipe import UnknownSize
from rules.socket_fittings import socket_depth, socket_wall
from rules.units import LEAST, MM_PER_INCH, SI, length_figure, show_length, show_limit

FILLET_KINDS = frozenset({"socket", "slip-on"})
DEGREES_AN_HOUR = Decimal(30)
# Common practice, no source: the mark that shows after welding that the pipe did not move is set an inch off the face.
MARK_MM = {"US": Decimal("25.4"), "SI": Decimal(25)}


def section_of(joint: Joint, plan: Plan, fit_up: FitUp | None) -> SectionData:
    """Return what the section draws: the gap as fitted, or before that as the procedure has it."""
    units = plan.job.units
    wall = judged_wall(plan.joint, units)
    gap = _gap(plan, fit_up)
    depth = _socket_depth(joint, units)
    return SectionData(
        kind=joint.kind,
        pipe_wall=Dimension(wall, f"wall {show_length(wall, units)}"),
        other_wall=Dimension(wall, f"wall {show_length(wall, units)}") if joint.kind in ("branch", "slip-on") else None,
        socket_wall=_socket_wall(joint, units),
        socket_depth=_insertion(depth, gap, units) if depth is not None else None,
        gap=gap,
        mark=_mark(units) if depth is not None else None,
        leg=_leg(plan),
    )


def _gap(plan: Plan, fit_up: FitUp | None) -> Dimension | None:
    units = plan.job.units
    word = "gap" if plan.joint.kind in FILLET_KINDS else "opening"
    ask = plan.ask("gap") or plan.ask("gap:greatest")
    limits = gap_limits(plan)
    if fit_up is not None and fit_up.gap_mm is not None:
        return Dimension(fit_up.gap_mm, f"{word} {show_length(fit_up.gap_mm, units)} as fitted", limits)
    words = f"{word} {limits}"
    procedure = plan.joint.procedure
    least = procedure.gap_min_mm if procedure else None
    greatest = procedure.gap_max_mm if procedure else None
    if least is None and greatest is None:
        # The code's own figure, about 1/16 in: drawn, and said to be about.
        return Dimension(Decimal("1.5875") if units != SI else Decimal("1.5"), words) if ask else None
    drawn = (least + greatest) / 2 if least is not None and greatest is not None else (least or greatest)
    assert drawn is not None
    return Dimension(drawn, words)


def gap_limits(plan: Plan) -> str:
    """Return the gap's limits in words: both bounds come as requirements of their own."""
    procedure, units = plan.joint.procedure, plan.job.units
    least = procedure.gap_min_mm if procedure else None
    greatest = procedure.gap_max_mm if procedure else None
    if least is not None and greatest is not None:
        return f"{length_figure(least, units)} to {show_length(greatest, units)}"
    if least is not None:
        return f"at least {show_length(least, units)}"
    if greatest is not None:
        return f"at most {show_length(greatest, units)}"
    ask = plan.ask("gap")
    return ask.bounds if ask else ""


def _insertion(depth: Decimal, gap: Dimension | None, units: str) -> Dimension:
    inserted = max(depth - (gap.value if gap else Decimal(0)), Decimal(0))
    words = f"insert about {show_length(_on_a_rule(inserted, units), units)}"
    return Dimension(depth, words, f"of {show_length(_on_a_rule(depth, units), units)} deep")


def _on_a_rule(mm: Decimal, units: str) -> Decimal:
    """A length as one reads it off a rule: to the nearest 1/32 in or 0.5 mm."""
    step = MM_PER_INCH / 32 if units != SI else Decimal("0.5")
    return (mm / step).to_integral_value() * step


def without_limits(section: SectionData) -> SectionData:
    """Return the section with fewer words on it, so that they stay large on a phone; `figures_of` has the limits."""
    named = ("gap", "mark", "socket_depth")
    return replace(section, **{name: replace(one, limits="") for name in named if (one := getattr(section, name))})


def figures_of(section: SectionData) -> list[tuple[str, str]]:
    """Return the numbers of the section as a list to read: words and limits, in the order in which one sets them."""
    known = (section.gap, section.mark, section.socket_depth if section.gap else None, section.leg)
    return [(one.words, one.limits) for one in known if one is not None]


def _mark(units: str) -> Dimension:
    return Dimension(MARK_MM[units], f"mark at {show_length(MARK_MM[units], units)}", "from the face")


def _leg(plan: Plan) -> Dimension | None:
    leg = required_leg(plan.joint, plan.job)
    return Dimension(leg.value, f"leg at least {show_limit(leg.value, LEAST, plan.job.units)}") if leg else None


def _socket_wall(joint: Joint, units: str) -> Dimension | None:
    if joint.kind != "socket" or not joint.socket_class:
        return None
    try:
        wall = socket_wall(joint.nps, joint.socket_class, units)
    except UnknownSize:
        return None
    return Dimension(wall, f"class {joint.socket_class}")


def _socket_depth(joint: Joint, units: str) -> Decimal | None:
    """The least depth of a socket of this size, by ASME B16.11; where the class is not known, of class 3000."""
    if joint.kind != "socket":
        return None
    try:
        return socket_depth(joint.nps, joint.socket_class or "3000", units)[0]
    except UnknownSize:
        return None


def dial_of(passes: Iterable[Pass]) -> list[DialPass]:
    """Return the passes whose starts and stops were recorded, segment by segment, in order."""
    segments: dict[tuple[int, str], list[DialSegment]] = defaultdict(list)
    for one in passes:
        if one.start_degrees is not None and one.stop_degrees is not None:
            start, stop = one.start_degrees / DEGREES_AN_HOUR, one.stop_degrees / DEGREES_AN_HOUR
            segments[one.order, one.role].append(DialSegment(one.stamp.code, start, stop))
    return [DialPass(order, role, tuple(found)) for (order, role), found in sorted(segments.items())]
