"""Turn the sheets of the plan into rows to write: each found by its identity, changed or new."""

from collections.abc import Callable, Iterable, Sequence
from typing import Any
from uuid import UUID

from django.db.models import Model

from office.importing import plan_sheets as forms
from office.importing.changes import Changes, matched
from office.importing.faults import Faults
from office.importing.known import Known, KnownPiece, KnownSheet
from office.importing.tables import Table
from records.models import (
    Certificate,
    ContinuityEntry,
    Examiner,
    ExamPlan,
    ExamRule,
    FillerLot,
    Heat,
    HoldPoint,
    Line,
    Material,
    Piece,
    Procedure,
    ProcedurePass,
    Qualification,
    Sheet,
    Spool,
    Stamp,
    User,
    Welder,
)  # fmt: skip
from records.models.base import new_id
from records.sorting import natural_key
from rules.materials import find_material
from rules.pipe import Pipe, UnknownSize, pipe

Tables = dict[str, Table]
Extra = Callable[[int], dict[str, Any]]


class Plan:
    """The plan's sheets, taken in the order in which they refer to each other."""

    def __init__(self, tables: Tables, known: Known, changes: Changes, faults: Faults) -> None:
        self.tables, self.known, self.changes, self.faults = tables, known, changes, faults
        self.job_id = known.job.id
        self.certificates: dict[str, UUID] | None = None
        self.spools: dict[tuple[UUID, str], UUID] = {}
        self.materials: set[str] = set()
        self.moved: dict[UUID, UUID] = {}
        self.pipes: dict[tuple[str, str], Pipe | str] = {}

    def take(self) -> None:
        """Take every sheet of the plan but Joints."""
        self._exam_plans()
        self._materials()
        self._lines()
        self._hold_points()
        self._sheets()
        self._heats()
        self._filler_lots()
        self._procedures()
        self._welders()
        self._by_stamp()
        self._simple(forms.EXAMINERS, Examiner, ("name", "method"))
        self._components()

    # --- sheets whose rows stand alone ---

    def _materials(self) -> None:
        self._simple(forms.MATERIALS, Material, ("name",))
        own = Material.objects.filter(job_id=self.job_id).values_list("name", flat=True)
        self.materials = {name.casefold() for name in own}
        if table := self.tables.get(forms.MATERIALS.name):
            self.materials |= {name.casefold() for name in table.column("material") if name}

    def know_material(self, table: Table, name: str) -> None:
        """Notice materials that no list has, since nothing that hangs on their P-Number is judged."""
        for material in dict.fromkeys(table.column(name)):
            if material and material.casefold() not in self.materials and find_material(material) is None:
                self.faults.notice(
                    f"{table.sheet}: the material {material} is in neither the built-in list nor the Materials sheet:"
                    " its P-Number is not known and what hangs on it is not judged"
                )

    def _simple(self, form: Any, model: type[Model], fields: Sequence[str], **more: Any) -> list[Model | None]:
        """Take a sheet whose identity is made of the model's own text columns."""
        table = self.tables.get(form.name)
        if table is None:
            return []
        keys = list(table.keys(form.identity))
        stored = model._default_manager.filter(job_id=self.job_id)
        pairs = ((row, tuple(getattr(row, name) for name in fields), ()) for row in stored)
        return self._put(table, model, keys, [()] * len(table), pairs, **more)

    def _put(
        self,
        table: Table,
        model: type[Model],
        keys: Sequence[tuple[Any, ...]],
        finer: Sequence[tuple[Any, ...]],
        stored: Iterable[tuple[Any, Any, Any]],
        extra: Extra | None = None,
    ) -> list[Model | None]:
        """Put every sound row; rows with a fault stay None."""
        there = matched(table, keys, finer, stored)
        columns = [
            (column.field, table.values[column.name])
            for column in table.form.columns
            if column.field and column.name in table.values
        ]
        rows: list[Model | None] = [None] * len(table)
        for index in table.sound_rows():
            values = {field: cells[index] for field, cells in columns if cells[index] is not None}
            if extra:
                values |= extra(index)
            rows[index] = self.changes.put(table, index, there[index], values, model)
        return rows

    def _name(self, kind: str, table: Table, name: str, rows: Sequence[Model | None]) -> None:
        """Make the rows' names known; a row with a fault is known too, so that nothing else complains of it."""
        ids = self.known.of(kind)
        for text, row in zip(table.column(name), rows, strict=True):
            if text is not None:
                ids.setdefault(text, row.pk if row is not None else new_id())

    def _hold_points(self) -> None:
        table = self.tables.get(forms.HOLD_POINTS.name)
        if table is None:
            return
        lines = self.known.resolve(table, "line")
        rows = self._simple(
            forms.HOLD_POINTS, HoldPoint, ("name",), extra=lambda at: {"line_id": lines[at]} if lines[at] else {}
        )
        self._name("hold point", table, "point", rows)

    # --- lines and drawings ---

    def _exam_plans(self) -> None:
        table = self.tables.get(forms.EXAM_PLANS.name)
        if table is None:
            return
        plans = self.known.of("exam plan")
        for name in dict.fromkeys(table.column("plan")):
            if name is not None and name not in plans:
                row = ExamPlan(id=new_id(), job_id=self.job_id, name=name)
                plans[name] = row.pk
                self.changes.add(row)
        ids = [plans.get(name) for name in table.column("plan")]
        keys = list(zip(ids, table.column("joint kind"), table.column("method"), strict=True))
        fine = [
            (low or "", high or "", stage or "final")
            for low, high, stage in table.keys(("NPS min", "NPS max", "stage"))
        ]
        stored = (
            (row, (row.plan_id, row.joint_kind, row.method), (row.nps_min, row.nps_max, row.stage))
            for row in ExamRule.objects.filter(job_id=self.job_id)
        )
        self._put(table, ExamRule, keys, fine, stored, lambda index: {"plan_id": ids[index]})

    def _lines(self) -> None:
        table = self.tables.get(forms.LINES.name)
        if table is None:
            return
        plans = self.known.resolve(table, "exam plan")
        for index, (nps, schedule) in enumerate(table.keys(("NPS", "schedule"))):
            self.pipe_of(table, index, nps, schedule)
        self.know_material(table, "material")
        for index, (first, last) in enumerate(table.keys(("planned start", "planned finish"))):
            if first and last and last < first:
                table.fault(
                    index, "planned finish", f"{last} is before the planned start; accepted is {first} or later"
                )
        extra: Extra = lambda index: {"exam_plan_id": plans[index]} if plans[index] else {}  # noqa: E731
        rows = self._simple(forms.LINES, Line, ("number",), extra=extra)
        self._name("line", table, "line", rows)
        self.known.line_materials |= {row.pk: row.material for row in rows if isinstance(row, Line)}

    def pipe_of(self, table: Table, index: int, nps: str | None, schedule: str | None) -> Pipe | None:
        """Return the pipe of a row's size and schedule; a schedule that the size lacks is a fault."""
        if nps is None or schedule is None:
            return None
        if (nps, schedule) not in self.pipes:
            try:
                self.pipes[nps, schedule] = pipe(nps, schedule, self.known.job.units)
            except UnknownSize as error:
                self.pipes[nps, schedule] = str(error).rstrip(".")
        found = self.pipes[nps, schedule]
        if isinstance(found, str):
            table.fault(index, "schedule", found)
            return None
        return found

    def _sheets(self) -> None:
        table = self.tables.get(forms.SHEETS.name)
        if table is None:
            return
        lines = self.known.resolve(table, "line")
        keys = list(table.keys(("drawing", "sheet")))
        stored = ((row, (row.drawing, row.number), ()) for row in Sheet.objects.filter(job_id=self.job_id))
        rows = self._put(table, Sheet, keys, [()] * len(table), stored, lambda index: {"line_id": lines[index]})
        for key, row, line, spools in zip(keys, rows, lines, table.column("spools"), strict=True):
            if None not in key:
                before = self.known.sheets.get(key)
                if before and row and line and before.line_id != line:
                    self.moved[before.id] = line
                sheet = KnownSheet(row.pk if row else new_id(), line or new_id(), tuple(spools or ()))
                self.known.sheets[key] = sheet
                for mark in sheet.spools:
                    self.spool(sheet.line_id, mark)

    def spool(self, line_id: UUID, mark: str) -> UUID:
        """Return the id of a line's spool, made where it is not known yet."""
        if not self.spools:
            stored = Spool.objects.filter(job_id=self.job_id).values_list("line_id", "mark", "id")
            self.spools = {(line, one): key for line, one, key in stored}
        if (line_id, mark) not in self.spools:
            sort_key = natural_key(self.known.line_number(line_id), mark)
            row = Spool(id=new_id(), job_id=self.job_id, line_id=line_id, mark=mark, sort_key=sort_key)
            self.spools[line_id, mark] = row.pk
            self.changes.add(row)
        return self.spools[line_id, mark]

    # --- heats, filler and pieces ---

    def certificate(self, number: str) -> UUID:
        """Return the id of a certificate, made where it is not known yet; its file may come later."""
        if self.certificates is None:
            stored = Certificate.objects.filter(job_id=self.job_id).values_list("number", "id")
            self.certificates = dict(stored)
        if number not in self.certificates:
            row = Certificate(id=new_id(), job_id=self.job_id, number=number)
            self.certificates[number] = row.pk
            self.changes.add(row)
        return self.certificates[number]

    def _heats(self) -> None:
        table = self.tables.get(forms.HEATS.name)
        if table is None:
            return
        self.know_material(table, "material")
        stored = {row.number: row for row in Heat.objects.filter(job_id=self.job_id)}
        numbers, certificates = table.column("heat"), table.column("certificate")
        symbols = [(symbol, table.values[symbol]) for symbol in forms.ELEMENTS if symbol in table.values]

        def extra(index: int) -> dict[str, Any]:
            before = stored.get(numbers[index])
            elements = dict(before.elements) if before else {}
            elements |= {symbol: f"{cells[index]:f}" for symbol, cells in symbols if cells[index] is not None}
            values: dict[str, Any] = {"elements": elements}
            if certificates[index]:
                values["certificate_id"] = self.certificate(certificates[index])
            return values

        keys = list(table.keys(("heat",)))
        pairs = ((row, (row.number,), ()) for row in stored.values())
        rows = self._put(table, Heat, keys, [()] * len(table), pairs, extra)
        self._name("heat", table, "heat", rows)
        self.known.heat_materials |= {row.pk: row.material for row in rows if isinstance(row, Heat)}

    def _filler_lots(self) -> None:
        table = self.tables.get(forms.FILLER_LOTS.name)
        if table is None:
            return
        papers = table.column("certificate")
        extra: Extra = lambda index: {"certificate_id": self.certificate(papers[index])} if papers[index] else {}  # noqa: E731
        rows = self._simple(forms.FILLER_LOTS, FillerLot, ("number",), extra=extra)
        self._name("filler lot", table, "lot", rows)

    def _components(self) -> None:
        table = self.tables.get(forms.COMPONENTS.name)
        if table is None:
            return
        sheets = self.known.resolve_sheets(table)
        heats = self.known.resolve(table, "heat")
        self.know_material(table, "material")
        for index, (kind, nps, schedule) in enumerate(table.keys(("kind", "NPS", "schedule"))):
            if kind == "pipe":
                self.pipe_of(table, index, nps, schedule)
        keys: list[Any] = [
            (sheet.id if sheet else None, mark) for sheet, mark in zip(sheets, table.column("piece"), strict=True)
        ]
        wanted = {sheet.id for sheet in sheets if sheet}
        stored = (
            (row, (row.sheet_id, row.mark), ()) for row in Piece.objects.filter(job_id=self.job_id, sheet_id__in=wanted)
        )

        names = list(table.keys(("drawing", "sheet", "piece")))

        def extra(index: int) -> dict[str, Any]:
            own = {"sheet_id": keys[index][0], "sort_key": natural_key(*names[index])}
            return own | ({"heat_id": heats[index]} if heats[index] else {})

        rows = self._put(table, Piece, keys, [()] * len(table), stored, extra)
        for key, row in zip(keys, rows, strict=True):
            if isinstance(row, Piece):
                self.known.pieces[key] = KnownPiece(row.id, row.kind, row.pressure_class, row.material, row.heat_id)
            elif None not in key:
                self.known.pieces[key] = KnownPiece(new_id(), "", "", "", None)

    # --- procedures and people ---

    def _procedures(self) -> None:
        if table := self.tables.get(forms.PROCEDURES.name):
            rows = self._simple(forms.PROCEDURES, Procedure, ("number",))
            self._name("procedure", table, "procedure", rows)
        table = self.tables.get(forms.PROCEDURE_PASSES.name)
        if table is None:
            return
        procedures = self.known.resolve(table, "procedure")
        keys = list(zip(procedures, table.column("pass"), strict=True))
        fine = [(process, filler or "") for process, filler in table.keys(("process", "filler"))]
        stored = (
            (row, (row.procedure_id, row.role), (row.process, row.filler))
            for row in ProcedurePass.objects.filter(job_id=self.job_id)
        )
        extra: Extra = lambda index: {"procedure_id": procedures[index]}  # noqa: E731
        self._put(table, ProcedurePass, keys, fine, stored, extra)

    def _welders(self) -> None:
        table = self.tables.get(forms.WELDERS.name)
        if table is None:
            return
        users = self._users(table)
        stored = {row.code: row for row in Stamp.objects.filter(job_id=self.job_id).select_related("welder")}
        by_sign_in: dict[tuple[str, int], Welder] = {}
        names = table.column("name")

        def extra(index: int) -> dict[str, Any]:
            values = {"name": names[index]} | ({"user_id": users[index]} if users[index] else {})
            before = stored.get(table.column("stamp")[index])
            if before is not None:
                self._change_welder(table, index, before.welder, values)
                return {}
            person = by_sign_in.get((names[index], users[index] or 0)) if users[index] else None
            if person is None:
                person = Welder(id=new_id(), job_id=self.job_id, **values)
                self.changes.add(person)
                by_sign_in[names[index], users[index] or 0] = person
            return {"welder_id": person.pk}

        keys = list(table.keys(("stamp",)))
        pairs = ((row, (row.code,), ()) for row in stored.values())
        rows = self._put(table, Stamp, keys, [()] * len(table), pairs, extra)
        self._name("stamp", table, "stamp", rows)

    def _users(self, table: Table) -> list[int | None]:
        """The people who sign in, by the names given; a name that nobody has is noticed, since it may come later."""
        names = table.column("sign-in")
        wanted = {name for name in names if name}
        users = dict(User.objects.filter(username__in=wanted).values_list("username", "id")) if wanted else {}
        for name in sorted(wanted - set(users)):
            self.faults.notice(
                f"{table.sheet}: nobody signs in as {name} yet; the welder stays without a sign-in until the workbook"
                " is imported again"
            )
        return [users.get(name) for name in names]

    def _change_welder(self, table: Table, index: int, welder: Welder, values: dict[str, Any]) -> None:
        differing = [
            f"{name} {getattr(welder, name)} -> {value}"
            for name, value in values.items()
            if getattr(welder, name) != value
        ]
        if differing:
            for name, value in values.items():
                setattr(welder, name, value)
            self.changes.add(welder)
            self.changes.told.append(f"{table.sheet}!row {table.numbers[index]}: {', '.join(differing)}")

    def _by_stamp(self) -> None:
        if table := self.tables.get(forms.QUALIFICATIONS.name):
            stamps = self.known.resolve(table, "stamp")
            keys = list(zip(stamps, table.column("WPQ"), strict=True))
            fine = list(table.keys(("process", "F-Number")))
            stored = (
                (row, (row.stamp_id, row.wpq), (row.process, row.f_number))
                for row in Qualification.objects.filter(job_id=self.job_id)
            )
            self._put(table, Qualification, keys, fine, stored, lambda index: {"stamp_id": stamps[index]})
        if table := self.tables.get(forms.CONTINUITY.name):
            users = self.known.resolve(table, "stamp")
            days = list(zip(users, table.column("process"), table.column("date"), strict=True))
            entries = (
                (row, (row.stamp_id, row.process, row.used_on), ())
                for row in ContinuityEntry.objects.filter(job_id=self.job_id)
            )
            self._put(
                table, ContinuityEntry, days, [()] * len(table), entries, lambda index: {"stamp_id": users[index]}
            )
