"""The lots of a job, read from its records: which welds stand together, who welded them, what was examined of them."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time
from typing import Any
from uuid import UUID

from django.db.models import Exists, OuterRef, Q, QuerySet

from records.lookups import Keys
from records.models import Examination, ExamRule, Job, Joint, Pass, Pick, Withdrawal
from records.papers import Library, applies, specification_of
from rules.facts import SpecificationFacts
from rules.lots import EXTRA, Lot, LotRule, LotWeld, lots_of, parse_basis
from rules.specification import REPLACED, Owners, narrowed, source_of
from rules.state import is_final

COMPLETE = frozenset({"welded", "rejected", "accepted", "released"})
# Where a joint says what a lot goes by. A weld's first day is in its records, and a lot of the job needs all of them.
COLUMNS = {
    "line": "line_id", "sheet": "sheet_id", "spool": "line_id", "service": "line__service",
    "fluid service": "line__fluid_service", "kind": "kind",
}  # fmt: skip
RESULTS = ("accepted", "rejected")
_JOINT = (
    "id", "sort_key", "number", "kind", "nps", "state", "attempt", "line__number", "line__service",
    "line__fluid_service", "line__severe_cyclic", "line__exam_plan_id", "sheet__drawing", "sheet__number",
    "spool__mark",
)  # fmt: skip


@dataclass(slots=True)
class _Known:
    """What is recorded on the joints that may be in a lot."""

    passes: Mapping[UUID, list[tuple[str, str]]] = field(default_factory=dict)  # (attempt, stamp), standing
    first: dict[UUID, tuple[datetime, date, str]] = field(default_factory=dict)
    examinations: Mapping[UUID, list[Any]] = field(default_factory=dict)
    picks: Mapping[UUID, list[tuple[str, str, str]]] = field(default_factory=dict)


def lots_touching(
    job: Job, joint_ids: Collection[UUID] | None, library: Library, *, only: UUID | None = None
) -> list[Lot]:
    """Return the lots in which any of these joints has a place, all of the job's where None; six queries.

    only  the lots of this exam rule alone
    Nothing is read where no plan names a lot, apart from the plans.
    """
    rules = [(row, basis) for row in library.lot_rules if (basis := parse_basis(row.lot_basis, row.lot_size))]
    rules = [pair for pair in rules if only in (None, pair[0].id)]
    if not rules:
        return []
    scope = _scope(job, rules, joint_ids)
    known = _read(job, scope)
    rows = list(scope.filter(id__among=Keys(known.first)).values_list(*_JOINT))
    limits = specification_of(job)
    found = [lot for row, basis in rules for lot in _lots(row, basis, rows, known, limits)]
    if joint_ids is None:
        return found
    wanted = {key.hex for key in joint_ids}
    return [lot for lot in found if any(one.id in wanted for one in lot.welds)]


def _scope(
    job: Job, rules: Sequence[tuple[ExamRule, tuple[str, ...]]], joint_ids: Collection[UUID] | None
) -> QuerySet[Joint]:
    """The joints among which the lots are: those of the plans that are alike in what each lot goes by."""
    joints = Joint.objects.filter(job=job)
    touched = None if joint_ids is None else Joint.objects.filter(id__among=Keys(joint_ids))
    near = Q()
    for plan, basis in dict.fromkeys((row.plan_id, basis) for row, basis in rules):
        near |= Q(line__exam_plan_id=plan) & (Q() if touched is None else _alike(job, basis, touched))
    return joints.filter(near)


def _alike(job: Job, basis: Sequence[str], touched: QuerySet[Joint]) -> Q:
    """The joints that can stand in a lot with any of these; by what a column does not say, all of them."""
    alike = Q()
    for column in dict.fromkeys(COLUMNS[word] for word in basis if word in COLUMNS):
        alike &= Q(**{f"{column}__in": touched.order_by().values(column)})
    if "welder" in basis:
        caps = Pass.objects.filter(job=job, role="cap")
        by_them = caps.filter(stamp__code__in=caps.filter(joint__in=touched.values("id")).values("stamp__code"))
        # A weld that was examined and never recorded as capped has no welder.
        alike &= Q(id__in=by_them.values("joint")) | Q(~Exists(caps.filter(joint=OuterRef("id"))))
    return alike


def _read(job: Job, scope: QuerySet[Joint]) -> _Known:
    """What is recorded in the scope; four queries."""
    of_scope = Q(job=job, joint__in=scope.values("id"))
    kinds = ("pass", "examination", "pick")
    gone = set(Withdrawal.objects.filter(of_scope, kind__in=kinds).values_list("record", flat=True))
    known = _Known(
        passes=defaultdict(list), examinations=defaultdict(list), picks=defaultdict(list),
    )  # fmt: skip
    columns = ("id", "replaces_id", "joint_id", "attempt", "stamp__code", "role", "recorded_at", "done_on")
    rows = list(Pass.objects.filter(of_scope).order_by("recorded_at", "done_on", "order", "id").values_list(*columns))
    over = {row[1] for row in rows if row[1]} | gone
    for key, _, joint, attempt, stamp, role, at, day in rows:
        if role == "cap":
            known.first.setdefault(joint, (at, day, stamp))
        if key not in over:
            known.passes[joint].append((attempt, stamp))
    _read_examinations(of_scope, gone, known)
    picks = Pick.objects.filter(of_scope, replaced_by__isnull=True).order_by("recorded_at", "id")
    for key, joint, method, stage, purpose in picks.values_list("id", "joint_id", "method", "stage", "purpose"):
        if key not in gone:
            known.picks[joint].append((method, _stage(stage), purpose))
    return known


def _read_examinations(of_scope: Q, gone: set[UUID], known: _Known) -> None:
    columns = (
        "id", "replaces_id", "joint_id", "attempt", "method", "stage", "result", "done_on", "done_at", "recorded_at",
    )  # fmt: skip
    rows = list(Examination.objects.filter(of_scope).order_by("done_on", "recorded_at", "id").values_list(*columns))
    over = {row[1] for row in rows if row[1]} | gone
    for row in rows:
        key, _, joint, _, _, stage, _, day, _, at = row
        if is_final(stage):
            known.first.setdefault(joint, (at, day, ""))
        if key not in over:
            known.examinations[joint].append(row)


def _lots(
    row: ExamRule,
    basis: tuple[str, ...],
    joints: Iterable[tuple[Any, ...]],
    known: _Known,
    limits: Sequence[SpecificationFacts],
) -> list[Lot]:
    plain = LotRule(
        row.id.hex, row.plan.name, row.joint_kind, row.method, _stage(row.stage), row.share_percent, basis,
        row.lot_size,
    )  # fmt: skip
    by_rule: dict[LotRule, list[LotWeld]] = defaultdict(list)
    owners: dict[tuple[str, str, bool], Owners] = {}
    for joint in joints:
        key, _, _, kind, nps, *_, fluid, severe, plan, _, _, _ = joint
        if plan != row.plan_id or not applies(row, kind, nps):
            continue
        group = (kind, fluid, severe)
        if group not in owners:
            owners[group] = narrowed(limits, *group)
        rule = _with_owners(plain, owners[group])
        if rule.share_percent < 100:
            by_rule[rule].append(_weld(rule, joint, known))
    return [lot for rule, welds in by_rule.items() for lot in lots_of(rule, welds)]


def _with_owners(rule: LotRule, owners: Owners) -> LotRule:
    """The rule with the owner's share in its place, where there is one of the finished weld."""
    limit = owners.limits.get(f"{rule.method} share min") if is_final(rule.stage) else None
    if limit is None or not (limit.mode == REPLACED or limit.value > rule.share_percent):
        return rule
    return replace(rule, share_percent=limit.value, asked_by=str(source_of(limit)))


def _weld(rule: LotRule, joint: tuple[Any, ...], known: _Known) -> LotWeld:
    (
        key, sort_key, number, kind, _, state, attempt, line, service, fluid, _, _, drawing, sheet, spool,
    ) = joint  # fmt: skip
    at, day, stamp = known.first[key]
    passes = known.passes.get(key, ())
    welders = tuple(dict.fromkeys(who for _, who in passes))
    examinations = known.examinations.get(key, ()) if state != "withdrawn" else ()
    seen = next((one for one in examinations if _is_result(one, rule)), None)
    charged = tuple(dict.fromkeys(who for made, who in passes if seen and made == seen[3])) or welders
    purposes = [why for method, stage, why in known.picks.get(key, ()) if (method, stage) == (rule.method, rule.stage)]
    return LotWeld(
        id=key.hex,
        name=f"{drawing}/{sheet}/{number}",
        sort_key=sort_key,
        values={
            "line": line, "service": service, "fluid service": fluid, "kind": kind, "sheet": f"{drawing}/{sheet}",
            "spool": f"{spool or 'none'} of {line}", "welder": stamp,
        },
        first=(at, day),
        stands=state in COMPLETE,
        attempt=attempt,
        welders=welders,
        charged=charged if seen else (),
        result=seen[6] if seen else "",
        examined=(seen[7], seen[8] or datetime.combine(seen[7], time.max, seen[9].tzinfo)) if seen else None,
        picked=(EXTRA if EXTRA in purposes else purposes[-1]) if purposes else "",
    )  # fmt: skip


def _is_result(row: Any, rule: LotRule) -> bool:
    return row[4] == rule.method and row[6] in RESULTS and _stage(row[5]) == rule.stage


def _stage(stage: str) -> str:
    return "final" if is_final(stage) else stage
