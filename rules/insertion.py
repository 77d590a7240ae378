"""How deep a pipe goes into its socket, and where the witness mark stands before and after it is backed off."""

from dataclasses import dataclass
from decimal import Decimal

from rules.measurable import round_limit, show_limit
from rules.source import Source
from rules.units import LEAST, SI, US, show_length

# Common practice, no source: with the pipe bottomed it is marked an inch off the face, then backed off by the gap.
OFF_THE_FACE_MM = {US: Decimal("25.4"), SI: Decimal(25)}


@dataclass(frozen=True, slots=True)
class Insertion:
    """A pipe in its socket.

    insertion_mm     how far the pipe goes in with the gap set
    mark_mm          from the pipe's end to the witness mark
    bottomed_mm      from the socket's face to the mark while the pipe stands on the bottom
    backed_off_mm    the same once it is backed off: longer by the gap, whatever the socket's true depth
    """

    insertion_mm: Decimal
    mark_mm: Decimal
    bottomed_mm: Decimal
    backed_off_mm: Decimal
    steps: tuple[str, ...]
    notes: tuple[str, ...]
    source: Source


def insert(
    depth_mm: Decimal,
    gap_mm: Decimal,
    source: Source,
    *,
    leg_mm: Decimal = Decimal(0),
    mark_mm: Decimal | None = None,
    units: str = SI,
) -> Insertion:
    """How far the pipe goes in, and a witness mark that shows when bottomed, when backed off, and beside the weld.

    depth_mm   of the socket, by its table or measured
    leg_mm     of the weld on the pipe; 0: the mark need not show beside the weld
    mark_mm    where the crew makes it, from the pipe's end; None: the nearest place where it shows, rounded up
    Raises     ValueError for a gap that leaves no insertion
    Source     geometry; the depth carries its own
    """
    inside = depth_mm - gap_mm
    if inside <= 0 or gap_mm < 0:
        told = f"A gap of {show_length(gap_mm, units)} is not possible in a socket {show_length(depth_mm, units)} deep"
        raise ValueError(f"{told}; accepted are gaps from 0 to under the depth.")
    nearest = max(depth_mm, inside + leg_mm)
    mark = round_limit(nearest, LEAST, units) if mark_mm is None else mark_mm
    bottomed, backed_off = mark - depth_mm, mark - inside
    depth, gap = show_length(depth_mm, units), show_length(gap_mm, units)
    steps = [f"insertion: depth {depth} - gap {gap} = {show_length(inside, units)}"]
    if mark_mm is None:
        beside = f", or insertion + leg {show_length(leg_mm, units)}" if leg_mm else ""
        steps.append(f"mark at least at the depth{beside} -> {show_limit(nearest, LEAST, units)} from the pipe's end")
    steps.append(f"face to mark: bottomed {show_length(bottomed, units)}, backed off {show_length(backed_off, units)}")
    return Insertion(inside, mark, bottomed, backed_off, tuple(steps), _notes(bottomed, backed_off, leg_mm), source)


def _notes(bottomed: Decimal, backed_off: Decimal, leg_mm: Decimal) -> tuple[str, ...]:
    notes = ["The depth is the standard's least: in a deeper socket mark the pipe while it stands on the bottom."]
    if backed_off <= 0:
        notes.append("The mark lies inside the socket even when the pipe is backed off: it will not show.")
    elif bottomed < 0:
        notes.append("The mark lies inside the socket while the pipe stands on the bottom; it shows once backed off.")
    if 0 < backed_off < leg_mm:
        notes.append("The weld will cover the mark.")
    return tuple(notes)
