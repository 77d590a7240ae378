"""The joint in section with its real dimensions, and its dial: from records and tables to drawings."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal

from joints.queries.joint_asks import Plan
from records.models import FitUp, Joint, Pass, Piece
from reports.data import DialPass, DialSegment, Dimension, SectionData
from rules.cut_length import ENDS, SOCKET, end
from rules.examination import judged_wall
from rules.fit_up import codes_figure
from rules.fitting_words import is_flange
from rules.insertion import OFF_THE_FACE_MM, Insertion, insert
from rules.limits import shown_bounds
from rules.measurable import on_a_rule
from rules.pipe import UnknownSize
from rules.socket_fittings import socket_depth, socket_wall
from rules.source import Source
from rules.specification import gap_called
from rules.units import show_length

FILLET_KINDS = frozenset({"socket", "slip-on"})
DEGREES_AN_HOUR = Decimal(30)


@dataclass(frozen=True, slots=True)
class Figure:
    """One number that a fitter sets or checks, to read beside the drawing, with where it comes from and how."""

    words: str
    limits: str
    source: str
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Section:
    """The joint in section: what is drawn, and its numbers in the order in which one sets them."""

    drawn: SectionData
    figures: tuple[Figure, ...]


def section_of(joint: Joint, plan: Plan, fit_up: FitUp | None) -> Section:
    """Return the section: the gap as fitted, or before that as procedure and owner have it."""
    units = plan.job.units
    wall = judged_wall(plan.joint, units)
    gap, leg = _gap(plan, fit_up), _leg(plan)
    inserted = _inserted(joint, gap, leg, units)
    drawn = SectionData(
        kind=joint.kind,
        pipe_wall=Dimension(wall, f"wall {show_length(wall, units)}"),
        other_wall=Dimension(wall, f"wall {show_length(wall, units)}") if joint.kind in ("branch", "slip-on") else None,
        socket_wall=_socket_wall(joint, units),
        socket_depth=_depth(inserted, gap, units) if inserted and gap else None,
        gap=gap,
        mark=_mark(inserted, units) if inserted else None,
        leg=leg,
    )
    return Section(drawn, _figures(drawn, plan, inserted))


def _figures(drawn: SectionData, plan: Plan, inserted: Insertion | None) -> tuple[Figure, ...]:
    gap, leg = plan.ask("gap"), plan.ask("leg")
    of_insertion = (str(inserted.source), (*inserted.steps, *inserted.notes)) if inserted else ("", ())
    known = (
        (drawn.gap, (gap.source, gap.steps) if gap else ("", ())),
        (drawn.mark, ("common practice, no source", of_insertion[1])),
        (drawn.socket_depth, of_insertion),
        (drawn.leg, (leg.source, leg.steps) if leg else ("", ())),
    )
    return tuple(Figure(one.words, one.limits, source, steps) for one, (source, steps) in known if one is not None)


def _gap(plan: Plan, fit_up: FitUp | None) -> Dimension | None:
    units = plan.job.units
    word = gap_called(plan.joint.kind)
    limits = gap_limits(plan)
    if fit_up is not None and fit_up.gap_mm is not None:
        return Dimension(fit_up.gap_mm, f"{word} {show_length(fit_up.gap_mm, units)} as fitted", limits)
    drawn = _gap_to_draw(plan)
    return None if drawn is None else Dimension(drawn, f"{word} {limits}")


def _gap_to_draw(plan: Plan) -> Decimal | None:
    """The middle of the limits, the one that is set, or the code's own figure, which is said to be about."""
    asked = plan.requirement("gap")
    if asked is None:
        return None
    known = [one for one in asked.bounds if one is not None]
    if known:
        return sum(known, Decimal(0)) / len(known)
    code = codes_figure(plan.joint, plan.job)
    return code.about_mm if code else None


def gap_limits(plan: Plan) -> str:
    """Return the limits of the gap that govern, in words."""
    ask = plan.ask("gap")
    return ask.bounds if ask else ""


def _inserted(joint: Joint, gap: Dimension | None, leg: Dimension | None, units: str) -> Insertion | None:
    """How far the pipe goes in, by the least depth of a socket of its size; where no class is known, of class 3000."""
    if joint.kind != "socket" or gap is None:
        return None
    try:
        depth, source = _depth_of_flange(joint, units) or socket_depth(joint.nps, joint.socket_class or "3000", units)
        return insert(
            depth, gap.value, source, leg_mm=_length(leg), mark_mm=depth + OFF_THE_FACE_MM[units], units=units
        )
    except ValueError:  # a size that no table has, or a gap as deep as the socket
        return None


def _flange_of(joint: Joint) -> Piece | None:
    return next((one for one in (joint.piece_a, joint.piece_b) if one and is_flange(one.kind)), None)


def _depth_of_flange(joint: Joint, units: str) -> tuple[Decimal, Source] | None:
    """The depth of a flange's socket, which is not a fitting's; None of other pieces and of classes not listed."""
    flange = _flange_of(joint)
    name = f"flange-{flange.pressure_class}" if flange else ""
    if name not in ENDS:
        return None
    # Both editions of the flanges have the same depths.
    one = end(name, joint.nps, SOCKET, "", units)
    return (one.depth_mm, one.source) if one.depth_mm is not None else None


def _length(leg: Dimension | None) -> Decimal:
    return leg.value if leg else Decimal(0)


def _depth(inserted: Insertion, gap: Dimension, units: str) -> Dimension:
    depth = inserted.insertion_mm + gap.value
    words = f"insert about {show_length(on_a_rule(inserted.insertion_mm, units), units)}"
    return Dimension(depth, words, f"of {show_length(on_a_rule(depth, units), units)} deep")


def without_limits(section: SectionData) -> SectionData:
    """Return the section with fewer words on it, so that they stay large on a phone; its figures have the limits."""
    named = ("gap", "mark", "socket_depth")
    return replace(section, **{name: replace(one, limits="") for name in named if (one := getattr(section, name))})


def _mark(inserted: Insertion, units: str) -> Dimension:
    """The mark as it stands once the pipe is backed off; it was made an inch off the face with the pipe bottomed."""
    bottomed, backed_off = (
        show_length(on_a_rule(one, units), units) for one in (OFF_THE_FACE_MM[units], inserted.backed_off_mm)
    )
    return Dimension(inserted.backed_off_mm, f"mark at {backed_off}", f"made at {bottomed} off the face, pipe bottomed")


def _leg(plan: Plan) -> Dimension | None:
    asked = plan.requirement("leg")
    return Dimension(asked.bounds[0], f"leg {shown_bounds(asked)}") if asked else None


def _socket_wall(joint: Joint, units: str) -> Dimension | None:
    if joint.kind != "socket" or not joint.socket_class or _flange_of(joint):
        return None
    try:
        wall = socket_wall(joint.nps, joint.socket_class, units)
    except UnknownSize:
        return None
    return Dimension(wall, f"class {joint.socket_class}")


def dial_of(passes: Iterable[Pass]) -> list[DialPass]:
    """Return the passes whose starts and stops were recorded, segment by segment, in order."""
    segments: dict[tuple[int, str], list[DialSegment]] = defaultdict(list)
    for one in passes:
        if one.start_degrees is not None and one.stop_degrees is not None:
            start, stop = one.start_degrees / DEGREES_AN_HOUR, one.stop_degrees / DEGREES_AN_HOUR
            segments[one.order, one.role].append(DialSegment(one.stamp.code, start, stop))
    return [DialPass(order, role, tuple(found)) for (order, role), found in sorted(segments.items())]
