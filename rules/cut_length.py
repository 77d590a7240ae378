"""The length to cut a pipe to between two fittings, and how deep it goes into their sockets."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from rules.pipe import UnknownSize, parse_nps
from rules.source import Source
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
    """One end of the pipe: what the fitting takes of the centre distance, and its socket's depth where it has one."""

    name: str
    takeout_mm: Decimal
    depth_mm: Decimal | None
    source: Source


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
        raise ValueError(f'There is no end "{name}"; accepted are {", ".join(ENDS)}.')
    size = parse_nps(nps)
    if name == "plain":
        return End(name, Decimal(0), None, Source("plain end"))
    if name.startswith("flange-"):
        return _flange(name, size, joint)
    return _socket(name, size, fitting_class) if joint == SOCKET else _butt(name, size)


def cut_length(centre_mm: Decimal, ends: tuple[End, End], opening_mm: Decimal) -> Cut:
    """The cut length: the centre distance less both take-outs, less an opening at each end that is welded.

    opening_mm   the gap at each socket, or the root opening at each butt end
    Raises       DoesNotFit, saying by how many mm
    """
    welded = sum(one.name != "plain" for one in ends)
    takeouts = (ends[0].takeout_mm, ends[1].takeout_mm)
    length = centre_mm - sum(takeouts) - welded * opening_mm
    if length <= 0:
        raise DoesNotFit(f"The pipe does not fit: {-length:.1f} mm short.")
    depths = [one.depth_mm for one in ends if one.depth_mm is not None]
    overlap = sum(depth - opening_mm for depth in depths) - length
    if len(depths) == 2 and overlap > 0:
        raise DoesNotFit(f"The pipe does not fit: the sockets would overlap by {overlap:.1f} mm.")
    step = (
        f"{centre_mm:f} - {ends[0].name} {takeouts[0]} - {ends[1].name} {takeouts[1]} "
        f"- {welded} x {opening_mm:f} = {length:f} mm"
    )
    insertion = min(depths) - opening_mm if depths else None
    deep = [f"insertion {min(depths)} - {opening_mm:f} = {insertion:f} mm"] if depths else []
    source = next((one.source for one in ends if one.name != "plain"), ends[0].source)
    return Cut(length, takeouts, insertion, (step, *deep), source)


def _socket(name: str, size: str, fitting_class: str) -> End:
    classes = [row for row in table("socket_fittings").rows if row["nps"] == size]
    row = next((one for one in classes if one["class"] == fitting_class), None)
    if row is None:
        accepted = ", ".join(one["class"] for one in classes) or "none in this size"
        raise UnknownSize(f'No socket-welding fitting NPS {size} of class "{fitting_class}"; accepted are {accepted}.')
    source = Source("ASME B16.11", "2016", "Table 1" if name in _SOCKET_COLUMNS else "Table 2", row["state"])
    depth = Decimal(row["depth_min_mm"])
    if name == "coupling":
        # The centre of a coupling lies in the middle of its laying length.
        return End(name, Decimal(row["coupling_mm"]) / 2, depth, source)
    if name == "half-coupling":
        return End(name, Decimal(row["half_coupling_mm"]), depth, source)
    if name not in _SOCKET_COLUMNS:
        raise ValueError(f"A {name} has no socket; accepted are {', '.join(one for one in ENDS if one != name)}.")
    return End(name, Decimal(row[_SOCKET_COLUMNS[name]]), depth, source)


def _butt(name: str, size: str) -> End:
    if name not in _BUTT_COLUMNS:
        raise ValueError(
            f"A {name} has sockets; for joint=butt accepted are {', '.join(_BUTT_COLUMNS)}, flanges, plain."
        )
    text, state = _row("buttweld_fittings", size, _BUTT_COLUMNS[name], lambda row: True, f"butt-welding {name}")
    return End(name, Decimal(text), None, Source("ASME B16.9", "2018", "", state))


def _flange(name: str, size: str, joint: str) -> End:
    rating = name.removeprefix("flange-")
    column = "takeout_socket_mm" if joint == SOCKET else "takeout_weld_neck_mm"
    text, state = _row("flanges", size, column, lambda row: row["class"] == rating, f"Class {rating} flange")
    depth = None
    if joint == SOCKET:
        depth = Decimal(_row("flanges", size, "socket_depth_mm", lambda row: row["class"] == rating, name)[0])
    return End(name, Decimal(text), depth, Source("ASME B16.5", "2003", "", state))


def _row(name: str, size: str, column: str, wanted: Callable[[Mapping[str, str]], bool], what: str) -> tuple[str, str]:
    rows = [row for row in table(name).rows if wanted(row) and row[column]]
    for row in rows:
        if row["nps"] == size:
            return row[column], row["state"]
    raise UnknownSize(f"There is no {what} NPS {size}; accepted are NPS {', '.join(row['nps'] for row in rows)}.")
