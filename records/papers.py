"""Load the job's papers and people as the plain facts that the rules judge, each shelf once and when needed."""

import json
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal
from functools import cached_property
from typing import Any, ClassVar
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Q, QuerySet, TextField
from django.db.models.functions import Cast

from records.clock import zone_of
from records.confirmed import confirmed_on
from records.heats_read import as_read
from records.models import (
    ContinuityEntry,
    Examiner,
    ExamRule,
    FillerLot,
    Heat,
    HoldPoint,
    Job,
    Material,
    OwnerLimit,
    Pass,
    Procedure,
    ProcedurePass,
    Qualification,
    Stamp,
)
from records.paper_rows import (
    OF_HEAT,
    applies,
    exam_rule_facts,
    heat_of,
    point_facts,
    procedure_facts,
    procedure_pass_facts,
    qualification_facts,
    speaks_of,
    specification_facts,
)
from records.shop_facts import first_issues, troubles_of
from records.sorting import natural_key
from records.standing import standing
from rules.compare import folded
from rules.facts import (
    ExaminerFacts,
    ExamRuleFacts,
    HeatFacts,
    JobFacts,
    MaterialFacts,
    People,
    PieceFacts,
    PointFacts,
    ProcedureFacts,
    ProcedurePassFacts,
    QualificationFacts,
    SpecificationFacts,
    WelderFacts,
)
from rules.materials import find_material
from rules.specification import WITHDRAWN, shared

# Number, classification and diameter in mm.
FillerLotRow = tuple[str, str, Decimal | None]
NO_LOT: FillerLotRow = ("", "", None)
FEW_STAMPS = 200


def job_facts(job: Job, as_of: date, *, until: date = date.max) -> JobFacts:
    """Return the settings of a job that the rules depend on, the owner's limits among them.

    until  leave out the confirmations dated after this day
    One query; two where tables must be confirmed.
    """
    return JobFacts(
        code=job.code,
        units=job.units,
        construction_code=job.construction_code,
        edition=job.edition,
        recording=job.recording,
        as_of=as_of,
        repairs_max=job.repairs_max,
        welders_edition=job.welders_edition,
        certificates_edition=job.certificates_edition,
        certificates_rounding=job.certificates_rounding,
        specification=specification_of(job),
        confirmed=confirmed_on(job, until).keys if job.confirmation_demanded else None,
    )


def specification_of(job: Job) -> tuple[SpecificationFacts, ...]:
    """Return the owner's limits that hold on a job; one query."""
    rows = OwnerLimit.objects.filter(job=job).exclude(mode=WITHDRAWN).order_by("limit", "id")
    return shared(tuple(specification_facts(row) for row in rows))


class Library:
    """The job's procedures, heats, materials, filler lots, exam rules and examiners, each read once when needed.

    until  leave out the records dated after this day, whoever reads them by this library; plan and people are as of now
    """

    def __init__(self, job: Job, *, until: date = date.max) -> None:
        self.job, self.until = job, until
        self._heats: dict[UUID, HeatFacts] = {}
        self._found: dict[str, MaterialFacts | None] = {}
        self._points_for: dict[tuple[UUID, str, str], tuple[PointFacts, ...]] = {}
        self._rules_for: dict[tuple[UUID | None, str, str], tuple[ExamRuleFacts, ...]] = {}

    def on_site(self, moment: datetime | None) -> datetime | None:
        """A moment by the clock on the job's site: what rules say of it is read beside the day there."""
        return moment.astimezone(self._zone) if moment else None

    @cached_property
    def _zone(self) -> ZoneInfo:
        return zone_of(self.job)

    @cached_property
    def stamps(self) -> Mapping[UUID, str]:
        """Stamp codes by id."""
        return dict(Stamp.objects.filter(job=self.job).values_list("id", "code"))

    @cached_property
    def procedures(self) -> Mapping[UUID, ProcedureFacts]:
        """Procedures with their passes, by id."""
        passes: dict[UUID, list[ProcedurePassFacts]] = defaultdict(list)
        for row in ProcedurePass.objects.filter(job=self.job).order_by("role", "id"):
            passes[row.procedure_id].append(procedure_pass_facts(row))
        return {row.id: procedure_facts(row, passes[row.id]) for row in Procedure.objects.filter(job=self.job)}

    def heat(self, key: UUID | None) -> HeatFacts | None:
        """Find a heat with its analysis; it is made into facts when first asked for: a joint has two of hundreds."""
        if key is not None and key not in self._heats and key in self._heat_rows:
            certificate, elements, *row = self._heat_rows[key]
            self._heats[key] = heat_of(certificate or "", json.loads(elements), row)
        return self._heats.get(key) if key else None

    def heat_read(self, number: str) -> HeatFacts | None:
        """Find a heat by its number, or by that without case and spaces, as two people may read it off a piece."""
        known = self._heats_by_number
        return self.heat(known.get(number) or known.get(folded(number))) if number else None

    @cached_property
    def _heat_rows(self) -> dict[UUID, Sequence[Any]]:
        rows = Heat.objects.filter(job=self.job).annotate(analysed=Cast("elements", TextField()))
        return {key: row for key, *row in rows.values_list("id", "certificate__number", "analysed", *OF_HEAT)}

    @cached_property
    def _heats_by_number(self) -> dict[str, UUID]:
        return as_read({row[2]: key for key, row in self._heat_rows.items()})

    @cached_property
    def own_materials(self) -> dict[str, MaterialFacts]:
        """Materials that the job added to the built-in list, by name without case."""
        rows = Material.objects.filter(job=self.job).values_list("name", "p_number", "group")
        return {row[0].casefold(): MaterialFacts(*row) for row in rows}

    def filler_lot(self, key: UUID | None) -> FillerLotRow:
        """Number, classification and diameter in mm of a filler lot."""
        return self._filler_lots[key] if key else NO_LOT

    @cached_property
    def _filler_lots(self) -> dict[UUID, FillerLotRow]:
        rows = FillerLot.objects.filter(job=self.job).values_list("id", "number", "classification", "diameter_mm")
        return {key: (number, classification, diameter) for key, number, classification, diameter in rows}

    @cached_property
    def piece_troubles(self) -> Mapping[UUID, PieceFacts]:
        """What speaks against the pieces against which something does, by id."""
        return troubles_of(self.job, self.until)

    @cached_property
    def first_issues(self) -> dict[tuple[UUID, UUID], date] | None:
        """The first day on which each filler lot went out to each stamp; None where the job records no issues."""
        return first_issues(self.job, self.until)

    def was_issued(self, stamp: UUID, lot: UUID | None, day: date) -> bool | None:
        """Say whether a lot had gone out to a stamp by a day; None without a lot, or where no issues are recorded."""
        if lot is None or self.first_issues is None:
            return None
        first = self.first_issues.get((stamp, lot))
        return first is not None and first <= day

    @cached_property
    def exam_rules(self) -> dict[UUID, list[ExamRule]]:
        """Exam rules by plan."""
        found: dict[UUID, list[ExamRule]] = defaultdict(list)
        for rule in ExamRule.objects.filter(job=self.job).select_related("plan").order_by("method", "id"):
            found[rule.plan_id].append(rule)
        return found

    @cached_property
    def lot_rules(self) -> list[ExamRule]:
        """Exam rules that ask a share of the welds of each lot; empty where no plan names a lot."""
        rows = [row for rows in self.exam_rules.values() for row in rows]
        return [row for row in rows if row.share_percent < 100 and (row.lot_basis.strip() or row.lot_size)]

    @cached_property
    def points(self) -> list[tuple[HoldPoint, PointFacts]]:
        """The hold and witness points in force, in the order of their names."""
        rows = HoldPoint.objects.filter(job=self.job, in_force=True)
        return [(row, point_facts(row)) for row in sorted(rows, key=lambda row: natural_key(row.name))]

    def points_for(self, line: UUID, piping_class: str, kind: str) -> tuple[PointFacts, ...]:
        """Return the points that speak of joints of a line, class and kind."""
        if not self.points:
            return ()
        key = (line, piping_class, kind)
        if key not in self._points_for:
            self._points_for[key] = tuple(facts for row, facts in self.points if speaks_of(row, *key))
        return self._points_for[key]

    @cached_property
    def examiners(self) -> dict[tuple[str, str], ExaminerFacts]:
        """Examiners by (name, method)."""
        rows = Examiner.objects.filter(job=self.job)
        return {(row.name, row.method): ExaminerFacts(row.name, row.method, row.level, row.valid_until) for row in rows}

    def material(self, name: str) -> MaterialFacts | None:
        """Find a material by name: the job's own first, then the built-in list."""
        if name not in self._found:
            self._found[name] = self.own_materials.get(name.casefold()) or find_material(name) if name else None
        return self._found[name]

    def rules_for(self, plan: UUID | None, kind: str, nps: str) -> tuple[ExamRuleFacts, ...]:
        """Return the exam rules of a plan that apply to a joint of this kind and size."""
        if plan is None:
            return ()
        key = (plan, kind, nps)
        if key not in self._rules_for:
            rows = self.exam_rules.get(plan, [])
            self._rules_for[key] = tuple(exam_rule_facts(row) for row in rows if applies(row, kind, nps))
        return self._rules_for[key]

    def people(self, stamp_ids: Iterable[UUID] | None = None) -> People:
        """Return welders (all, or the stamps given) and examiners; three queries and the examiners'."""
        return People(welders=welder_facts(self.job, stamp_ids), examiners=self.examiners)


class _Unnamed(dict[UUID, str]):
    def __missing__(self, key: UUID) -> str:
        return ""


class RecordsOnly(Library):
    """A library that leaves the papers of a joint on the shelf: its attempts, state and points follow without them."""

    stamps: ClassVar[Mapping[UUID, str]] = _Unnamed()
    procedures: ClassVar[Mapping[UUID, ProcedureFacts]] = {}
    piece_troubles: ClassVar[Mapping[UUID, PieceFacts]] = {}

    def heat(self, key: UUID | None) -> None:
        """No heat is looked for."""

    def heat_read(self, number: str) -> None:
        """No heat is looked for."""

    def filler_lot(self, key: UUID | None) -> FillerLotRow:
        """No lot is looked for."""
        return NO_LOT

    def material(self, name: str) -> None:
        """No material is looked for."""

    def was_issued(self, stamp: UUID, lot: UUID | None, day: date) -> None:
        """No issue is looked for."""


def welder_facts(job: Job, stamp_ids: Iterable[UUID] | None = None) -> dict[str, WelderFacts]:
    """Return welders by stamp, with the days on which they used each process; four queries.

    A process counts as used on the day of a test, of a continuity entry, and of a pass of this job that stands.
    """
    wanted = None if stamp_ids is None else set(stamp_ids)
    of_stamps = Q(job=job) if wanted is None or len(wanted) > FEW_STAMPS else Q(job=job, stamp_id__in=wanted)
    stamps = Stamp.objects.filter(job=job).select_related("welder")
    if wanted is not None and len(wanted) <= FEW_STAMPS:
        stamps = stamps.filter(id__in=wanted)
    qualifications: dict[UUID, list[QualificationFacts]] = defaultdict(list)
    used: dict[UUID, dict[str, set[date]]] = defaultdict(lambda: defaultdict(set))
    for row in Qualification.objects.filter(of_stamps).order_by("tested_on", "wpq"):
        qualifications[row.stamp_id].append(qualification_facts(row))
        used[row.stamp_id][row.process].add(row.tested_on)
    for stamp, process, day in ContinuityEntry.objects.filter(of_stamps).values_list("stamp_id", "process", "used_on"):
        used[stamp][process].add(day)
    for stamp, process, day in _days_of_passes(job, of_stamps):
        used[stamp][process].add(day)
    return {
        stamp.code: WelderFacts(
            stamp=stamp.code,
            name=stamp.welder.name,
            stamp_from=stamp.valid_from,
            stamp_to=stamp.valid_to,
            qualifications=tuple(qualifications[stamp.id]),
            used={process: tuple(sorted(days)) for process, days in used[stamp.id].items()},
        )
        for stamp in stamps
    }


def _days_of_passes(job: Job, of_stamps: Q) -> QuerySet[Pass, tuple[UUID, str, date]]:
    rows = standing(Pass, job).filter(of_stamps)
    return rows.values_list("stamp_id", "process", "done_on").distinct()
