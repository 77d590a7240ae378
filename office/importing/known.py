"""What names mean: everything that the job has stored, and everything that the workbook adds."""

from collections.abc import Iterable
from typing import Any, NamedTuple
from uuid import UUID

from django.db.models import Model

from office.importing.faults import unknown
from office.importing.tables import Table
from records.models import ExamPlan, FillerLot, Heat, HoldPoint, Job, Joint, Line, Piece, Procedure, Sheet, Stamp

# Beyond this many unknown names of a kind nobody is helped by the nearest ones, and looking for them takes long.
_COMPARED = 40
_NAMED: dict[str, tuple[type[Model], str]] = {
    "line": (Line, "number"),
    "stamp": (Stamp, "code"),
    "heat": (Heat, "number"),
    "procedure": (Procedure, "number"),
    "filler lot": (FillerLot, "number"),
    "exam plan": (ExamPlan, "name"),
    "hold point": (HoldPoint, "name"),
}


class KnownSheet(NamedTuple):
    """A drawing sheet, the line it shows and, where the workbook lists them, its spools."""

    id: UUID
    line_id: UUID
    spools: tuple[str, ...] = ()


class KnownPiece(NamedTuple):
    """What a joint takes from a piece that it joins."""

    id: UUID
    kind: str
    pressure_class: str
    material: str
    heat_id: UUID | None


class Known:
    """Names by kind, read from the database when first asked for; the workbook's own are put beside them."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self.names: dict[str, dict[str, UUID]] = {}
        self.sheets: dict[tuple[str, str], KnownSheet] = {
            (drawing, number): KnownSheet(key, line)
            for key, line, drawing, number in Sheet.objects.filter(job_id=job.id).values_list(
                "id", "line_id", "drawing", "number"
            )
        }
        self.pieces: dict[tuple[UUID, str], KnownPiece] = {}
        self.joints: dict[tuple[str, str, str], UUID] = {}
        self.stored_joints: set[UUID] = set()
        self.refused_joints: set[tuple[str, str, str]] = set()
        self._unknown_sheets: dict[tuple[str, str], str] = {}
        self._unknown_joints = 0
        self._line_numbers: dict[UUID, str] = {}
        self._by_sheet: dict[tuple[str, str], list[str]] = {}
        self.line_materials: dict[UUID, str] = dict(Line.objects.filter(job_id=job.id).values_list("id", "material"))
        self.heat_materials: dict[UUID, str] = dict(Heat.objects.filter(job_id=job.id).values_list("id", "material"))

    def of(self, kind: str) -> dict[str, UUID]:
        """Return the names of a kind with their ids; one query when first asked for."""
        if kind not in self.names:
            model, field = _NAMED[kind]
            rows = model._default_manager.filter(job_id=self.job.id).values_list(field, "id")
            self.names[kind] = dict(rows)
        return self.names[kind]

    def resolve(self, table: Table, name: str) -> list[UUID | None]:
        """Return the ids that a column's texts refer to; whatever is unknown is a fault of its cell."""
        column = table.form.by_name[name]
        texts = table.column(name)
        ids = self.of(column.names)
        found: list[UUID | None] = list(map(ids.get, texts))
        if None in found:
            said: dict[str, str] = {}
            for index, (key, text) in enumerate(zip(found, texts, strict=True)):
                if key is None and text is not None:
                    if text not in said:
                        said[text] = unknown(column.names, text, list(ids), is_compared=len(said) < _COMPARED)
                    table.fault(index, name, said[text])
        return found

    def line_number(self, line_id: UUID) -> str:
        """Return a line's number, an empty text for a line that is not known."""
        if len(self._line_numbers) != len(self.of("line")):
            self._line_numbers = {key: number for number, key in self.of("line").items()}
        return self._line_numbers.get(line_id, "")

    def unknown(self, kind: str, name: str) -> str:
        """Return the sentence for a name that nobody knows."""
        return unknown(kind, name, list(self.of(kind)))

    def resolve_sheets(self, table: Table) -> list[KnownSheet | None]:
        """Return the drawing sheet of each row; an unknown one is a fault."""
        keys = list(table.keys(("drawing", "sheet")))
        found = list(map(self.sheets.get, keys))
        if None in found:
            for index, (key, sheet) in enumerate(zip(keys, found, strict=True)):
                if sheet is None and None not in key:
                    table.fault(index, "drawing", self.unknown_sheet(*key))
        return found

    def unknown_sheet(self, drawing: str, number: str) -> str:
        """Return the sentence for a drawing sheet that nobody knows."""
        if (drawing, number) not in self._unknown_sheets:
            known = [f"{one}/{other}" for one, other in self.sheets]
            is_compared = len(self._unknown_sheets) < _COMPARED
            said = unknown("drawing sheet", f"{drawing}/{number}", known, is_compared=is_compared)
            self._unknown_sheets[drawing, number] = said
        return self._unknown_sheets[drawing, number]

    def load_pieces(self, sheet_ids: Iterable[UUID]) -> None:
        """Read the stored pieces of drawing sheets."""
        rows = Piece.objects.filter(job_id=self.job.id, sheet_id__in=set(sheet_ids)).values_list(
            "sheet_id", "mark", "id", "kind", "pressure_class", "material", "heat_id"
        )
        for sheet_id, mark, key, kind, pressure_class, material, heat_id in rows:
            self.pieces.setdefault((sheet_id, mark), KnownPiece(key, kind, pressure_class, material, heat_id))

    def load_joints(self, drawings: Iterable[str]) -> None:
        """Read the stored joints of drawings, by drawing, sheet and number."""
        rows = Joint.objects.filter(job_id=self.job.id, sheet__drawing__in=set(drawings)).values_list(
            "sheet__drawing", "sheet__number", "number", "id"
        )
        for drawing, sheet, number, key in rows:
            self.joints.setdefault((drawing, sheet, number), key)
            self.stored_joints.add(key)

    def resolve_joints(self, table: Table) -> list[UUID | None]:
        """Return the joint of each row; an unknown one is a fault."""
        keys = list(table.keys(("drawing", "sheet", "joint")))
        found: list[UUID | None] = list(map(self.joints.get, keys))
        if None in found:
            for index, (key, joint) in enumerate(zip(keys, found, strict=True)):
                if joint is None and None not in key:
                    self._fault_joint(table, index, key)
        return found

    def _fault_joint(self, table: Table, index: int, key: tuple[Any, ...]) -> None:
        drawing, sheet, number = key
        if key in self.refused_joints:
            table.sound[index] = False  # its own row says what is wrong
        elif (drawing, sheet) not in self.sheets:
            table.fault(index, "drawing", self.unknown_sheet(drawing, sheet))
        else:
            self._unknown_joints += 1
            known, is_compared = self._joints_on(drawing, sheet), self._unknown_joints <= _COMPARED
            where = f"on {drawing}/{sheet}"
            table.fault(index, "joint", unknown("joint", number, known, where=where, is_compared=is_compared))

    def _joints_on(self, drawing: str, sheet: str) -> list[str]:
        if not self._by_sheet:
            for one, other, listed in self.joints:
                self._by_sheet.setdefault((one, other), []).append(listed)
        return self._by_sheet.get((drawing, sheet), [])
