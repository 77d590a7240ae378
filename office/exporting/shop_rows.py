"""The rows of the shop's sheets: what stands recorded of pieces, spools and filler lots."""

from collections import Counter
from collections.abc import Callable, Iterator
from typing import Any

from django.db.models import F, QuerySet

from office.exporting.shelf import Shelf
from office.exporting.values import Written, as_number, moment, writers
from office.importing import shop_sheets as forms
from office.importing.columns import SheetForm
from records.models import LotMove, PieceEvent, SpoolStep
from records.shop_facts import standing_records
from reports.spreadsheet import Cell
from rules.filler_quantity import parse_filler, show_filler
from rules.units import UnitError, plain

CHUNK = 2000
Row = list[Cell]


def shop_rows(shelf: Shelf) -> Iterator[tuple[SheetForm, Iterator[Row]]]:
    """Yield each sheet of the shop with its rows, the corrected ones as they stand now; two queries a sheet.

    What was withdrawn is left out.
    """
    events = _standing(shelf, PieceEvent, "piece__sheet__drawing", "piece__sheet__number", "piece__mark")
    yield forms.PIECE_EVENTS, _rows(shelf, forms.PIECE_EVENTS, events.select_related("piece__sheet", "part"), _of_event)
    steps = _standing(shelf, SpoolStep, "spool__line__number", "spool__mark")
    yield forms.SPOOL_STEPS, _rows(shelf, forms.SPOOL_STEPS, steps.select_related("spool__line"), _of_step)
    moves = _standing(shelf, LotMove, "lot__number").select_related("lot", "stamp")
    yield forms.LOT_MOVES, _rows(shelf, forms.LOT_MOVES, moves, lambda row: _of_move(row, shelf.job.units))


def _standing(shelf: Shelf, model: type[Any], *order: str) -> QuerySet[Any]:
    rows = standing_records(model, shelf.job)
    return rows.order_by(*order, "done_on", F("done_at").asc(nulls_first=True), "recorded_at", "id")


def _rows(shelf: Shelf, form: SheetForm, rows: QuerySet[Any], said: Callable[[Any], dict[str, Cell]]) -> Iterator[Row]:
    """Rows that are alike in everything that tells rows apart have an entry."""
    written = writers(form, shelf.setting)
    names = [column.name for column in form.columns]
    told, entry = [names.index(name) for name in form.identity], names.index("entry")
    met: Counter[tuple[Cell, ...]] = Counter()
    for row in rows.iterator(chunk_size=CHUNK):
        cells = said(row) | {"date": moment(row.done_on, row.done_at, shelf.setting)}
        found = [cells[name] if name in cells else _cell(written[name], row) for name in names]
        key = tuple(found[at] for at in told)
        met[key] += 1
        # The first of several needs none: a blank entry tells it from the others too.
        found[entry] = met[key] if met[key] > 1 else None
        yield found


def _cell(written: Written, row: Any) -> Cell:
    column = written.column
    if not column.field:
        return None
    typed = row.typed.get(column.name, "") if column.is_typed else ""
    return written(getattr(row, column.field), typed)


def _of_event(row: PieceEvent) -> dict[str, Cell]:
    sheet = row.piece.sheet
    part = row.part.mark if row.part else None
    return {"drawing": sheet.drawing, "sheet": sheet.number, "piece": row.piece.mark, "part": part}


def _of_step(row: SpoolStep) -> dict[str, Cell]:
    return {"line": row.spool.line.number, "spool": row.spool.mark}


def _of_move(row: LotMove, units: str) -> dict[str, Cell]:
    return {"lot": row.lot.number, "stamp": row.stamp.code, "quantity": _quantity(row, units)}


def _quantity(row: LotMove, units: str) -> Cell:
    """A quantity as it was typed, else in the job's units, else in kg."""
    if row.quantity is None:
        return None
    for text in (row.typed.get("quantity", ""), show_filler(row.quantity, row.unit, units)):
        try:
            if text and parse_filler(text, units) == (row.quantity, row.unit):
                return as_number(text)
        except UnitError:
            continue
    return f"{plain(row.quantity)} {row.unit}"
