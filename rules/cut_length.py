"""The length to cut a pipe to between two fittings, and how deep it goes into their sockets."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache

from rules.fitting_words import fitting_called
from rules.measurable import show_limit
from rules.nearest import NotAccepted
from rules.pipe import not_made, parse_nps
from rules.socket_fittings import figure_of, fitting
from rules.source import Source, Verdict
from rules.tables import basis, table
from rules.units import LEAST, SI, US, length_figure, show_length

SOCKET, BUTT = "socket", "butt"
ENDS = (
    "elbow-90",
    "elbow-45",
    "elbow-90-short",
    "tee",
    "tee-outlet",
    "reducer",
    "cap",
    "coupling",
    "half-coupling",
    "flange-150",
    "flange-300",
    "plain",
)
_BOTH = ("flange-150", "flange-300", "plain")
_SOCKET_COLUMNS = {"elbow-90": "centre_90", "tee": "centre_90", "elbow-45": "centre_45"}
_BUTT_COLUMNS = {
    "elbow-90": "elbow_90",
    "elbow-45": "elbow_45",
    "elbow-90-short": "elbow_90_short",
    "tee": "tee_run",
    "tee-outlet": "tee_outlet",
    "reducer": "reducer",
    "cap": "cap",
}
FLANGE_EDITIONS = ("2003", "1996")


class DoesNotFit(ValueError):
    """There is no room for a pipe between the two ends; the message says by how much."""


@dataclass(frozen=True, slots=True)
class End:
    """One end of the pipe: what the fitting takes of the centre distance, and its socket's depth where it has one.

    tolerance_mm   of the take-out, either way; None where no table has it
    """

    name: str
    takeout_mm: Decimal
    depth_mm: Decimal | None
    source: Source
    tolerance_mm: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Cut:
    """A pipe to cut; insertion is how far each socketed end goes in once the gap is set."""

    length_mm: Decimal
    takeouts_mm: tuple[Decimal, Decimal]
    insertion_mm: Decimal | None
    steps: tuple[str, ...]
    source: Source


@lru_cache(maxsize=1024)
def end(
    name: str, nps: str, joint: str, fitting_class: str, units: str = SI, flange_edition: str = FLANGE_EDITIONS[0]
) -> End:
    """The take-out of one end in mm, by the figure of the job's unit system.

    It is taken from the fitting's centre, or from a flange's raised face, the far face of a half coupling or cap, or
    the far end of a reducer (named by its large end).
    Raises    ValueError naming the accepted ends, UnknownSize for a size its table lacks
    Source    ASME B16.11 Tables 1 and 2, ASME B16.9, ASME B16.5
    """
    if name not in ENDS:
        raise NotAccepted(f'There is no end "{name}"', name, ENDS)
    size = parse_nps(nps, units)
    if name == "plain":
        return End(name, Decimal(0), None, Source("plain end"), Decimal(0))
    if name.startswith("flange-"):
        return _flange(name, size, joint, units, flange_edition)
    return _socket(name, size, fitting_class, units) if joint == SOCKET else _butt(name, size, units)


def cut_length(
    centre_mm: Decimal,
    ends: tuple[End, End],
    opening_mm: Decimal | tuple[Decimal, Decimal],
    allowance_mm: Decimal = Decimal(0),
    units: str = SI,
) -> Cut:
    """The cut length: the centre distance less both take-outs, less an opening at each end that is welded.

    opening_mm   the gap at each socket, or the root opening at each butt end; two where the ends differ
    allowance_mm left on a field-fit pipe, to be trimmed in the field
    units        in which the steps are written
    Raises       DoesNotFit, saying by how much
    """
    at_ends = opening_mm if isinstance(opening_mm, tuple) else (opening_mm, opening_mm)
    openings = tuple(gap for one, gap in zip(ends, at_ends, strict=True) if one.name != "plain")
    takeouts = (ends[0].takeout_mm, ends[1].takeout_mm)
    length = centre_mm - sum(takeouts) - sum(openings)
    inside = [(one.depth_mm, gap) for one, gap in zip(ends, at_ends, strict=True) if one.depth_mm is not None]
    # Between two sockets the least pipe is that with which the fittings touch, unless the gaps keep it out of them.
    least_mm = sum((depth - gap for depth, gap in inside), Decimal(0)) if len(inside) == 2 else Decimal(0)
    is_exact = least_mm > 0
    overlap = max(least_mm, Decimal(0)) - length
    if length <= 0 or (is_exact and overlap > 0):
        raise DoesNotFit(_does_not_fit(length, overlap, centre_mm, units, is_exact=is_exact))
    if allowance_mm < 0:
        raise ValueError(f"A field-fit allowance of {allowance_mm:f} mm is not possible; accepted are lengths from 0.")
    least = min(inside, key=lambda one: one[0] - one[1]) if inside else None
    steps = _steps(centre_mm, ends, openings, length, allowance_mm, units)
    if least:
        steps += (_insertion_step(*least, units),)
    insertion = least[0] - least[1] if least else None
    source = next((one.source for one in ends if one.name != "plain"), ends[0].source)
    return Cut(length + allowance_mm, takeouts, insertion, steps, source)


def _does_not_fit(length: Decimal, missing: Decimal, centre: Decimal, units: str, *, is_exact: bool) -> str:
    """By how much a pipe does not fit, and the distance at which it does: that itself, or all over it."""
    told = (
        f"{_missing(-length, units)} short"
        if length <= 0
        else "the sockets would overlap by " + _missing(missing, units)
    )
    if length <= 0 and is_exact:
        told += f", {_missing(missing, units)} until the sockets no longer overlap"
    least = show_limit(centre + missing, LEAST, units)
    return f"The pipe does not fit: {told}; accepted are distances {'from' if is_exact else 'over'} {least}."


def _missing(mm: Decimal, units: str) -> str:
    return f"{show_length(mm, units)} ({mm:.1f} mm)" if units == US else f"{mm:.1f} mm"


def _insertion_step(depth: Decimal, gap: Decimal, units: str) -> str:
    told = f"{length_figure(depth, units)} - {length_figure(gap, units)}"
    return f"insertion {told} = {show_length(depth - gap, units)}"


def _steps(
    centre: Decimal,
    ends: tuple[End, End],
    openings: tuple[Decimal, ...],
    length: Decimal,
    allowance: Decimal,
    units: str,
) -> tuple[str, ...]:
    """The arithmetic in the job's units: the length and the allowance."""

    def told(mm: Decimal) -> str:
        return length_figure(mm, units)

    # What a socket of a thing with a length takes is less than nothing: the pipe goes in.
    taken = "".join(
        f" {'-' if one.takeout_mm >= 0 else '+'} {fitting_called(one.name)} {told(abs(one.takeout_mm))}"
        for one in ends
        if one.name != "plain"
    )
    gaps = "".join(
        f" - {openings.count(one)} x {told(one)}" for one in dict.fromkeys(openings) if one or not any(openings)
    )
    steps = [f"{told(centre)}{taken}{gaps} = {show_length(length, units)}"]
    if allowance:
        steps.append(
            f"{told(length)} + field-fit allowance {told(allowance)} = {show_length(length + allowance, units)}"
        )
    return tuple(steps)


def tolerance_stack(ends: tuple[End, End], units: str = SI) -> Verdict[Decimal]:
    """How far the centre distance can be out by the fittings' tolerances alone, either way, in mm: the worst case.

    Raises    ValueError naming an end whose tolerance no table has
    Source    ASME B16.11 paragraph 6, ASME B16.9
    """
    for one in ends:
        if one.tolerance_mm is None:
            named = fitting_called(one.name)
            raise ValueError(f"No table here has the tolerance of a {named}; accepted are fittings and plain ends.")
    parts = [one.tolerance_mm for one in ends if one.tolerance_mm is not None]
    total = sum(parts, Decimal(0))
    told = " + ".join(
        f"{fitting_called(one.name)} {length_figure(part, units)}" for one, part in zip(ends, parts, strict=True)
    )
    step = f"{told} = {show_length(total, units)} either way"
    source = next((one.source for one in ends if one.name != "plain"), ends[0].source)
    clause = "paragraph 6" if source.code == "ASME B16.11" else source.clause
    return Verdict(total, (step,), Source(source.code, source.edition, clause, "memory"))


def _socket(name: str, size: str, fitting_class: str, units: str) -> End:
    row = fitting(size, fitting_class, units)
    clause, tables = "Table 1" if name in _SOCKET_COLUMNS else "Table 2", (basis("socket_fittings", row),)
    source = Source("ASME B16.11", "2016", clause, _state(row, units), tables=tables)
    depth = figure_of(row, "depth_min", units)
    if name in _SOCKET_COLUMNS:
        takeout, tolerance = figure_of(row, _SOCKET_COLUMNS[name], units), figure_of(row, "tolerance_centre", units)
    elif name == "coupling":
        # The centre of a coupling lies in the middle of its laying length.
        takeout, tolerance = (figure_of(row, column, units) / 2 for column in ("coupling", "tolerance_coupling"))
    elif name == "half-coupling":
        takeout, tolerance = (figure_of(row, column, units) for column in ("half_coupling", "tolerance_half_coupling"))
    else:
        raise NotAccepted(f"A {name} has no socket", name, [*_SOCKET_COLUMNS, "coupling", "half-coupling", *_BOTH])
    return End(name, takeout, depth, source, tolerance)


def _butt(name: str, size: str, units: str) -> End:
    if name not in _BUTT_COLUMNS:
        raise NotAccepted(f"A {name} has sockets and does not go with joint=butt", name, [*_BUTT_COLUMNS, *_BOTH])
    row = _row("buttweld_fittings", size, _BUTT_COLUMNS[name], {}, f"butt-welding {name}", units)
    source = Source("ASME B16.9", "2018", "", _state(row, units), tables=(basis("buttweld_fittings", row),))
    tolerance = None if name in ("reducer", "cap") else figure_of(row, "tolerance_centre", units)
    return End(name, figure_of(row, _BUTT_COLUMNS[name], units), None, source, tolerance)


def _flange(name: str, size: str, joint: str, units: str, edition: str) -> End:
    if edition not in FLANGE_EDITIONS:
        raise NotAccepted(f'There is no flange edition "{edition}"', edition, FLANGE_EDITIONS)
    rating = name.removeprefix("flange-")
    wanted = {"class": rating, "edition": edition}
    column = "socket_depth" if joint == SOCKET else "weld_neck_hub"
    row = _row("flanges", size, column, wanted, f"Class {rating} flange", units)
    source = Source("ASME B16.5", edition, "", _state(row, units), tables=(basis("flanges", row),))
    face = figure_of(row, "raised_face", units)
    if joint != SOCKET:
        return End(name, figure_of(row, "weld_neck_hub", units) + face, None, source)
    depth = figure_of(row, "socket_depth", units)
    return End(name, figure_of(row, "slip_on_hub", units) + face - depth, depth, source)


def _row(name: str, size: str, column: str, wanted: Mapping[str, str], what: str, units: str) -> Mapping[str, str]:
    rows = {
        row["nps"]: row
        for row in table(name).rows
        if row[f"{column}_mm"] and all(row[key] == value for key, value in wanted.items())
    }
    if size not in rows:
        raise not_made(what, size, rows, units)
    return rows[size]


def _state(row: Mapping[str, str], units: str) -> str:
    return row["state_us" if units == US else "state"]
