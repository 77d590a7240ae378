"""The length to cut a pipe to between two fittings, and how deep it goes into their sockets."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from rules.nearest import NotAccepted
from rules.pipe import UnknownSize, parse_class, parse_nps
from rules.source import Source, Verdict
from rules.tables import table

SOCKET, BUTT = "socket", "butt"
ENDS = (
    "elbow-90",
    "elbow-45",
    "elbow-90-short",
    "tee",
    "coupling",
    "half-coupling",
    "flange-150",
    "flange-300",
    "plain",
)
_SOCKET_COLUMNS = {"elbow-90": "centre_90_mm", "tee": "centre_90_mm", "elbow-45": "centre_45_mm"}
_BUTT_COLUMNS = {
    "elbow-90": "elbow_90_mm",
    "elbow-45": "elbow_45_mm",
    "elbow-90-short": "elbow_90_short_mm",
    "tee": "tee_run_mm",
}


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


def end(name: str, nps: str, joint: str, fitting_class: str) -> End:
    """The take-out of one end, in mm from its centre (or a flange's raised face, a half coupling's far face).

    Raises    ValueError naming the accepted ends, UnknownSize for a size its table lacks
    Source    ASME B16.11 Tables 1 and 2, ASME B16.9, ASME B16.5
    """
    if name not in ENDS:
        raise NotAccepted(f'There is no end "{name}"', name, ENDS)
    size = parse_nps(nps)
    if name == "plain":
        return End(name, Decimal(0), None, Source("plain end"), Decimal(0))
    if name.startswith("flange-"):
        return _flange(name, size, joint)
    return _socket(name, size, fitting_class) if joint == SOCKET else _butt(name, size)


def cut_length(
    centre_mm: Decimal, ends: tuple[End, End], opening_mm: Decimal, allowance_mm: Decimal = Decimal(0)
) -> Cut:
    """The cut length: the centre distance less both take-outs, less an opening at each end that is welded.

    opening_mm   the gap at each socket, or the root opening at each butt end
    allowance_mm left on a field-fit pipe, to be trimmed in the field
    Raises       DoesNotFit, saying by how many mm
    """
    welded = sum(one.name != "plain" for one in ends)
    takeouts = (ends[0].takeout_mm, ends[1].takeout_mm)
    length = centre_mm - sum(takeouts) - welded * opening_mm
    if length <= 0:
        raise DoesNotFit(f"The pipe does not fit: {-length:.1f} mm short.")
    if allowance_mm < 0:
        raise ValueError(f"A field-fit allowance of {allowance_mm:f} mm is not possible; accepted are lengths from 0.")
    depths = [one.depth_mm for one in ends if one.depth_mm is not None]
    overlap = sum(depth - opening_mm for depth in depths) - length
    if len(depths) == 2 and overlap > 0:
        raise DoesNotFit(f"The pipe does not fit: the sockets would overlap by {overlap:.1f} mm.")
    step = (
        f"{centre_mm:f} - {ends[0].name} {takeouts[0]} - {ends[1].name} {takeouts[1]} "
        f"- {welded} x {opening_mm:f} = {length:f} mm"
    )
    trim = [f"{length:f} + field-fit allowance {allowance_mm:f} = {length + allowance_mm:f} mm"] if allowance_mm else []
    insertion = min(depths) - opening_mm if depths else None
    deep = [f"insertion {min(depths)} - {opening_mm:f} = {insertion:f} mm"] if depths else []
    source = next((one.source for one in ends if one.name != "plain"), ends[0].source)
    return Cut(length + allowance_mm, takeouts, insertion, (step, *trim, *deep), source)


def tolerance_stack(ends: tuple[End, End]) -> Verdict[Decimal]:
    """How far the centre distance can be out by the fittings' tolerances alone, either way, in mm: the worst case.

    Raises    ValueError naming an end whose tolerance no table has
    Source    ASME B16.11 paragraph 6, ASME B16.9
    """
    for one in ends:
        if one.tolerance_mm is None:
            raise ValueError(f"No table here has the tolerance of a {one.name}; accepted are fittings and plain ends.")
    parts = [one.tolerance_mm for one in ends if one.tolerance_mm is not None]
    total = sum(parts, Decimal(0))
    step = f"{' + '.join(f'{one.name} {one.tolerance_mm}' for one in ends)} = {total:f} mm either way"
    named = next((one.source for one in ends if one.name != "plain"), ends[0].source)
    clause = "paragraph 6" if named.code == "ASME B16.11" else named.clause
    return Verdict(total, (step,), Source(named.code, named.edition, clause, "memory"))


def _socket(name: str, size: str, fitting_class: str) -> End:
    classes = [row for row in table("socket_fittings").rows if row["nps"] == size]
    row = next((one for one in classes if one["class"] == parse_class(fitting_class)), None)
    if row is None:
        said = f'No socket-welding fitting NPS {size} of class "{fitting_class}"'
        raise UnknownSize(said, fitting_class, [one["class"] for one in classes])
    source = Source("ASME B16.11", "2016", "Table 1" if name in _SOCKET_COLUMNS else "Table 2", row["state"])
    depth = Decimal(row["depth_min_mm"])
    if name == "coupling":
        # The centre of a coupling lies in the middle of its laying length.
        return End(name, Decimal(row["coupling_mm"]) / 2, depth, source, Decimal(row["tolerance_coupling_mm"]) / 2)
    if name == "half-coupling":
        return End(name, Decimal(row["half_coupling_mm"]), depth, source, Decimal(row["tolerance_half_coupling_mm"]))
    if name not in _SOCKET_COLUMNS:
        raise NotAccepted(f"A {name} has no socket", name, [one for one in ENDS if one != name])
    return End(name, Decimal(row[_SOCKET_COLUMNS[name]]), depth, source, Decimal(row["tolerance_centre_mm"]))


def _butt(name: str, size: str) -> End:
    if name not in _BUTT_COLUMNS:
        others = [one for one in ENDS if one in _BUTT_COLUMNS or one.startswith("flange-") or one == "plain"]
        raise NotAccepted(f"A {name} has sockets and does not go with joint=butt", name, others)
    row = _row("buttweld_fittings", size, _BUTT_COLUMNS[name], lambda row: True, f"butt-welding {name}")
    source = Source("ASME B16.9", "2018", "", row["state"])
    return End(name, Decimal(row[_BUTT_COLUMNS[name]]), None, source, Decimal(row["tolerance_centre_mm"]))


def _flange(name: str, size: str, joint: str) -> End:
    rating = name.removeprefix("flange-")
    column = "takeout_socket_mm" if joint == SOCKET else "takeout_weld_neck_mm"
    row = _row("flanges", size, column, lambda row: row["class"] == rating, f"Class {rating} flange")
    depth = Decimal(row["socket_depth_mm"]) if joint == SOCKET else None
    return End(name, Decimal(row[column]), depth, Source("ASME B16.5", "2003", "", row["state"]))


def _row(
    name: str, size: str, column: str, wanted: Callable[[Mapping[str, str]], bool], what: str
) -> Mapping[str, str]:
    rows = {row["nps"]: row for row in table(name).rows if wanted(row) and row[column]}
    if size not in rows:
        raise UnknownSize(f"There is no {what} NPS {size}", size, rows, kind="NPS ")
    return rows[size]
