"""Turn the sheets of the shop into drafts of what is not recorded yet; one that differs from its record is refused."""

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from joints.actions.cut_piece import part_of
from office.importing import shop_sheets as forms
from office.importing.changes import Changes
from office.importing.drafts import Drafts, make_drafts, says_the_same
from office.importing.facts import Facts
from office.importing.faults import unknown
from office.importing.known import Known
from office.importing.tables import Table, typed_texts
from records.models import Piece, Sheet, Spool
from records.models.shop import PARTING

# By sheet: the column of the thing, and those that tell its records apart.
_IDENTITY = {
    "Piece events": ("piece_id", "event", "done_on", "done_at", "part_id"),
    "Spool steps": ("spool_id", "step", "done_on", "done_at"),
    "Lot moves": ("lot_id", "move", "stamp_id", "done_on", "done_at"),
}
_MENDED = "a changed fact is corrected on the page of the {}"


class ShopFacts:
    """Takes the sheets of the shop; their drafts go beside those of the other facts."""

    def __init__(self, known: Known, changes: Changes, facts: Facts) -> None:
        self.known, self.changes, self.facts = known, changes, facts

    def take(self, tables: dict[str, Table]) -> None:
        """Take every sheet of the shop that is there."""
        if table := tables.get(forms.PIECE_EVENTS.name):
            self._pieces(table)
        if table := tables.get(forms.SPOOL_STEPS.name):
            self._spools(table)
        if table := tables.get(forms.LOT_MOVES.name):
            self._lots(table)

    def _pieces(self, table: Table) -> None:
        sheets = [sheet.id if sheet else None for sheet in self.known.resolve_sheets(table)]
        self.known.load_pieces(sheet for sheet in sheets if sheet)
        parts = self._parts(table, sheets)
        pieces: list[UUID | None] = []
        for index, (sheet, mark) in enumerate(zip(sheets, table.column("piece"), strict=True)):
            found = self.known.pieces.get((sheet, mark)) if sheet else None
            if found is None and sheet and mark:
                table.fault(index, "piece", unknown("piece", mark, self._marks(sheet)))
            pieces.append(found.id if found else None)
        self._keep(table, {"piece_id": pieces, "part_id": parts})

    def _parts(self, table: Table, sheets: Sequence[UUID | None]) -> list[UUID | None]:
        """The pieces that cuts made, on the sheet of what was cut; those that are not known yet come into being."""
        found: list[UUID | None] = [None] * len(table)
        for index, (mark, event, piece) in enumerate(table.keys(("part", "event", "piece"))):
            sheet = sheets[index]
            if mark is None or event is None or sheet is None or not table.sound[index]:
                continue
            if event not in PARTING or mark == piece:
                told = "a part comes of a cut or a split, and is another piece; accepted is a mark beside one of these"
                table.fault(index, "part", told)
                continue
            if (sheet, mark) not in self.known.pieces and (sheet, piece) in self.known.pieces:
                self._make(sheet, self.known.pieces[sheet, piece].id, mark)
            part = self.known.pieces.get((sheet, mark))
            found[index] = part.id if part else None
        return found

    def _make(self, sheet: UUID, piece: UUID, mark: str) -> None:
        fresh = {row.pk: row for row in self.changes.of(Piece)}
        whole = fresh.get(piece) or Piece.objects.get(pk=piece)
        sheets = {row.pk: row for row in self.changes.of(Sheet)}
        whole.sheet = sheets.get(sheet) or Sheet.objects.get(pk=sheet)
        part = part_of(whole, mark)
        self.changes.add(part)
        self.known.pieces[sheet, mark] = self.known.pieces[sheet, whole.mark]._replace(id=part.id)

    def _marks(self, sheet: UUID) -> list[str]:
        return [mark for one, mark in self.known.pieces if one == sheet]

    def _spools(self, table: Table) -> None:
        lines = self.known.resolve(table, "line")
        stored = Spool.objects.filter(job_id=self.known.job.id).values_list("line_id", "mark", "id")
        by_name = {(line, mark): key for line, mark, key in stored}
        by_name |= {(row.line_id, row.mark): row.pk for row in self.changes.of(Spool)}
        spools: list[UUID | None] = []
        for index, (line, mark) in enumerate(zip(lines, table.column("spool"), strict=True)):
            key = by_name.get((line, mark)) if line and mark else None
            if key is None and line and mark:
                known = [one for other, one in by_name if other == line]
                table.fault(index, "spool", unknown("spool", mark, known, where="on this line"))
            spools.append(key)
        results = table.column("result")
        for index, step in enumerate(table.column("step")):
            if step is not None and (step == "dimensional check") != (results[index] is not None):
                told = "a dimensional check has a result, accepted or rejected, and no other step has one"
                table.fault(index, "result", told)
        self._keep(table, {"spool_id": spools})

    def _lots(self, table: Table) -> None:
        quantities = table.column("quantity")
        self._keep(
            table,
            {
                "lot_id": self.known.resolve(table, "lot"),
                "stamp_id": self.known.resolve(table, "stamp"),
                "quantity": [one.amount if one else None for one in quantities],
                "unit": [one.unit if one else None for one in quantities],
            },
        )

    def _keep(self, table: Table, columns: dict[str, Any]) -> None:
        """Make the drafts of sound rows and leave out those that are recorded."""
        form = table.form
        assert form.model is not None
        moments = table.column("date")
        columns |= {"done_on": [one.day if one else None for one in moments]}
        columns |= {"done_at": [one.at if one else None for one in moments]}
        columns |= {one.field: table.values[one.name] for one in form.columns if one.field and one.name in table.values}
        given = list(columns)
        if table.cells:
            columns["typed"] = typed_texts(table)
        rows = list(table.sound_rows())
        drafts = make_drafts(form.model, len(rows), {name: [v[i] for i in rows] for name, v in columns.items()})
        stored = self._stored(table, drafts)
        count = self.changes.count(table.sheet)
        for draft, index in zip(drafts, rows, strict=True):
            before = stored.get(_identity(form.name, draft), [])
            if not before:
                self.facts.drafts.setdefault(form.name, Drafts(form.model)).append(draft)
                count.take("new", index)
            elif any(says_the_same(draft, one, given) for one in before):
                count.take("unchanged", index)
            else:
                thing = _IDENTITY[form.name][0].removesuffix("_id")
                table.fault(index, form.identity[-1], f"already recorded otherwise; {_MENDED.format(thing)}")

    def _stored(self, table: Table, drafts: Sequence[Any]) -> dict[tuple[Any, ...], list[Any]]:
        """What was ever recorded of the things that the sheet names, corrected and withdrawn records too."""
        name = table.form.name
        model: Any = table.form.model
        thing = _IDENTITY[name][0]
        found: dict[tuple[Any, ...], list[Any]] = {}
        for row in model.objects.filter(**{f"{thing}__in": {getattr(one, thing) for one in drafts}}):
            found.setdefault(_identity(name, row), []).append(row)
        return found


def _identity(sheet: str, row: Any) -> tuple[Any, ...]:
    return tuple(getattr(row, name) for name in _IDENTITY[sheet])
