"""The pieces, spools and filler lots as tables."""

from collections.abc import Iterator

from joints.queries.filler_lots import COLUMNS as OF_LOT
from joints.queries.filler_lots import KEYS as LOT_KEYS
from joints.queries.filler_lots import held_of, lots_wanted
from joints.queries.pieces import KEYS, PiecesWanted, joints_of, pieces_wanted
from joints.queries.spools import COLUMNS as OF_SPOOL
from joints.queries.spools import SpoolsWanted, spool_rows, spools_wanted
from records.models import FillerLot, Job, Piece, Spool
from records.paging import in_batches
from records.sending import ListTable, heads
from reports.spreadsheet import Cell
from rules.size_words import size_figure, size_system
from rules.units import show_length

_OF_PIECE = (
    "id", "sheet__drawing", "sheet__number", "mark", "sheet__line__number", "kind", "nps", "second_nps", "schedule",
    "pressure_class", "heat__number", "state", "place", "last_on",
)  # fmt: skip
_SPOOL_HEADS = heads(
    "line", "spool", "state", "place", "since", "joints", "welded", "accepted", "out of order", "next step"
)
_LOT_HEADS = heads("lot", "classification", "diameter", "heat", "certificate", "out with", "moves")


def pieces_table(job: Job, wanted: PiecesWanted) -> ListTable:
    """Return the pieces that match, by drawing and mark; two queries for each 2,000, one more for each filter."""
    size = size_system(job.units)
    names = heads(
        "drawing", "sheet", "piece", "line", "kind", size, f"second {size}", "schedule", "class", "heat", "state",
        "place", "since", "joints",
    )  # fmt: skip
    return ListTable("pieces", names, _pieces(job, wanted))


def spools_table(job: Job, wanted: SpoolsWanted) -> ListTable:
    """Return the spools that match, by line and mark; three queries for each 2,000, one more for a line."""
    return ListTable("spools", _SPOOL_HEADS, _spools(job, wanted))


def lots_table(job: Job, *, search: str = "") -> ListTable:
    """Return the filler lots that match, by number, with who has some out; two queries for each 2,000."""
    return ListTable("filler lots", _LOT_HEADS, _lots(job, search))


def _pieces(job: Job, wanted: PiecesWanted) -> Iterator[list[Cell]]:
    for batch in in_batches(pieces_wanted(Piece.objects.filter(job=job), job, wanted), KEYS, _OF_PIECE):
        joints = joints_of(row[0] for row in batch)
        for key, *piece, nps, second, schedule, rating, heat, state, place, since in batch:
            sizes = (size_figure(one, job.units) for one in (nps, second))
            cells = (*piece, *sizes, schedule, rating, heat, state, place, since)
            yield [*cells, ", ".join(one.number for one in joints.get(key, ()))]


def _spools(job: Job, wanted: SpoolsWanted) -> Iterator[list[Cell]]:
    for batch in in_batches(spools_wanted(Spool.objects.filter(job=job), job, wanted), KEYS, OF_SPOOL):
        for one in spool_rows(job, batch):
            yield [
                one.line, one.mark, one.state, one.place, one.last_on, one.joints, one.welded, one.accepted, one.flags,
                one.next_step,
            ]  # fmt: skip


def _lots(job: Job, search: str) -> Iterator[list[Cell]]:
    for batch in in_batches(lots_wanted(FillerLot.objects.filter(job=job), search), LOT_KEYS, OF_LOT):
        held = held_of(job, [row[1] for row in batch])
        for number, key, kind, diameter, heat, _, certificate in batch:
            mine = held.get(key, ())
            out = ", ".join(f"{one.stamp} {one.out}" for one in mine if one.out)
            size = show_length(diameter, job.units) if diameter is not None else ""
            yield [number, kind, size, heat, certificate or "", out, sum(one.moves for one in mine)]
