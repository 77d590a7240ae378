"""The lots of a job, read from its records: which welds stand together, who welded them, what was examined of them."""

from calendar import monthrange
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta
from typing import Any
from uuid import UUID

from django.db.models import Exists, OuterRef, Q, QuerySet

from records.lookups import Keys
from records.models import Examination, ExamRule, Job, Joint, Pass, Pick, SampleLot, Withdrawal
from records.paper_rows import applies
from records.papers import Library, specification_of
from records.standing import corrected, standing_on
from rules.again import FINAL_STAGES
from rules.facts import SpecificationFacts
from rules.lots import EXTRA, Lot, LotRule, LotWeld, judge_lot, lots_of, parse_basis
from rules.progressive import PER_EACH
from rules.specification import REPLACED, Owners, narrowed, source_of
from rules.state import is_final

COMPLETE = frozenset({"welded", "rejected", "accepted", "released"})
# Where a joint says what a lot goes by. A weld's first day is in its records; a lot of the job needs all of its welds.
COLUMNS = {
    "line": "line_id", "sheet": "sheet_id", "spool": "line_id", "service": "line__service",
    "fluid service": "line__fluid_service", "kind": "kind",
}  # fmt: skip
RESULTS = ("accepted", "rejected")
SPANS = frozenset({"week", "month"})
# What is alike to more joints than these is nearly all of the job, and to look for it takes longer than to read that.
MOST_ALIKE = 2_000
MOST_SPANS = 60  # of more weeks or months a query grows long, and most of the job is in them
Rules = Sequence[tuple[ExamRule, tuple[str, ...]]]  # exam rules that ask a share, each with what its lots go by
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
    job: Job,
    joint_ids: Collection[UUID] | None,
    library: Library,
    *,
    with_group: bool = False,
    stood: Mapping[UUID, tuple[str, str]] | None = None,
) -> list[Lot]:
    """Return the lots in which any of these joints has a place, all of the job's where None; at most nine queries.

    library     where it leaves out what is dated after a day, the lots are those of that day
    with_group  with the lots before and after them, whose welds move up where one of these joints came or went
    stood       state and attempt of every joint, where they are not those that are stored

    Nothing is read where no plan names a lot, apart from the plans; of joints that have no place yet one query. Only
    welds are read that can stand in a lot with these; in a lot by job or by size alone that is every weld of the plan.
    """
    rules: Rules = [(row, basis) for row in library.lot_rules if (basis := parse_basis(row.lot_basis, row.lot_size))]
    if joint_ids is not None and rules:
        rules, joint_ids = _with_a_place(rules, joint_ids)
    if not rules:
        return []
    scope = _scope(job, rules, joint_ids)
    known = _read(scope, library.until)
    rows: list[tuple[Any, ...]] = list(scope.filter(id__among=Keys(known.first)).values_list(*_JOINT))
    if stood is not None:
        rows = [(*row[:5], *stood[row[0]], *row[7:]) for row in rows]
    limits = specification_of(job)
    found = [lot for row, basis in rules for lot in _lots(row, basis, rows, known, limits, job.first_batch or PER_EACH)]
    if joint_ids is None:
        return found
    wanted = {key.hex for key in joint_ids}
    touched = [lot for lot in found if any(one.id in wanted for one in lot.welds)]
    if not with_group:
        return touched
    groups = {(lot.rule, lot.group) for lot in touched}
    return [lot for lot in found if (lot.rule, lot.group) in groups]


def with_welds(row: SampleLot) -> Lot:
    """Judge a stored lot from the records of its welds; five queries, and time by its own welds alone.

    row  with its job, rule and plan
    """
    joints = Joint.objects.filter(places__lot=row)
    known = _read(joints)
    basis = parse_basis(row.rule.lot_basis, row.rule.lot_size) or ()
    rule = replace(
        _plain(row.rule, basis, row.job.first_batch or PER_EACH), share_percent=row.share_percent, asked_by=row.asked_by
    )
    welds = [_weld(rule, joint, known) for joint in joints.order_by("sort_key").values_list(*_JOINT)]
    return judge_lot(rule, row.name, welds)


def _with_a_place(rules: Rules, joint_ids: Collection[UUID]) -> tuple[Rules, list[UUID]]:
    """Those of the joints that were capped or examined when finished, and the rules that speak of them; one query."""
    caps = Pass.objects.filter(joint=OuterRef("id"), role="cap")
    finals = Examination.objects.filter(joint=OuterRef("id"), stage__in=FINAL_STAGES)
    rows = Joint.objects.filter(Exists(caps) | Exists(finals), id__among=Keys(joint_ids)).order_by()
    placed = list(rows.values_list("id", "line__exam_plan_id", "kind", "nps"))
    groups = {(plan, kind, nps) for _, plan, kind, nps in placed}
    spoken = [
        pair
        for pair in rules
        if any(plan == pair[0].plan_id and applies(pair[0], kind, nps) for plan, kind, nps in groups)
    ]
    return spoken, [row[0] for row in placed]


def _scope(job: Job, rules: Rules, joint_ids: Collection[UUID] | None) -> QuerySet[Joint]:
    """The joints among which the lots are: of the rules' plans and kinds, alike in what each lot goes by."""
    few = joint_ids is not None and len(joint_ids) <= MOST_ALIKE
    touched = Joint.objects.filter(id__among=Keys(joint_ids or ())) if few else None
    days = set() if touched is None or not any(SPANS & {*basis} for _, basis in rules) else _days(touched)
    near = Q()
    for plan, kind, basis in dict.fromkeys((row.plan_id, row.joint_kind, basis) for row, basis in rules):
        of_kind = Q() if kind == "all" else Q(kind=kind)
        near |= Q(line__exam_plan_id=plan) & of_kind & (Q() if touched is None else _alike(job, basis, touched, days))
    # The plans are the job's, and so are their joints: to name the job too would have PostgreSQL, while it has not
    # counted a new job's rows yet, look through all of them for each line.
    return Joint.objects.filter(near)


def _days(touched: QuerySet[Joint]) -> set[date]:
    """The days on which these were capped, or examined when finished; two queries."""
    of_touched = Q(joint__in=touched.values("id"))
    caps = Pass.objects.filter(of_touched, role="cap").order_by().values_list("done_on", flat=True).distinct()
    finals = Examination.objects.filter(of_touched, stage__in=FINAL_STAGES).order_by()
    return {*caps, *finals.values_list("done_on", flat=True).distinct()}


def _alike(job: Job, basis: Sequence[str], touched: QuerySet[Joint], days: Collection[date]) -> Q:
    """The joints that can stand in a lot with any of these; by what neither a column nor a day says, all of them."""
    alike = Q()
    for column in dict.fromkeys(COLUMNS[word] for word in basis if word in COLUMNS):
        alike &= Q(**{f"{column}__in": touched.order_by().values(column)})
    caps = Pass.objects.filter(job=job, role="cap")
    if "welder" in basis:
        by_them = caps.filter(stamp__code__in=caps.filter(joint__in=touched.values("id")).values("stamp__code"))
        # A weld that was examined and never recorded as capped has no welder.
        alike &= Q(id__in=by_them.values("joint")) | Q(~Exists(caps.filter(joint=OuterRef("id"))))
    finals = Examination.objects.filter(job=job, stage__in=FINAL_STAGES)
    for word in SPANS.intersection(basis):
        spans = {_span(word, day) for day in days}
        if len(spans) <= MOST_SPANS:
            within = Q(done_on__in=[])
            for span in spans:
                within |= Q(done_on__range=span)
            alike &= Q(id__in=caps.filter(within).values("joint")) | Q(id__in=finals.filter(within).values("joint"))
    return alike


def _span(word: str, day: date) -> tuple[date, date]:
    """The first and the last day of the week or month of a day, as lots go by them."""
    if word == "week":
        monday = day - timedelta(days=day.weekday())
        return monday, monday + timedelta(days=6)
    return day.replace(day=1), day.replace(day=monthrange(day.year, day.month)[1])


def _read(scope: QuerySet[Joint], until: date = date.max) -> _Known:
    """What is recorded in the scope up to a day; four queries."""
    of_scope = Q(joint__in=scope.values("id"))
    kinds = ("pass", "examination", "pick")
    gone = set(Withdrawal.objects.filter(of_scope, kind__in=kinds).values_list("record", flat=True))
    known = _Known(
        passes=defaultdict(list), examinations=defaultdict(list), picks=defaultdict(list),
    )  # fmt: skip
    columns = ("id", "replaces_id", "joint_id", "attempt", "stamp__code", "role", "recorded_at", "done_on")
    rows = list(Pass.objects.filter(of_scope).order_by("recorded_at", "done_on", "order", "id").values_list(*columns))
    over = corrected(((row[0], row[1], row[-1]) for row in rows), until, gone)
    for key, _, joint, attempt, stamp, role, at, day in rows:
        if day > until:
            continue
        if role == "cap":
            known.first.setdefault(joint, (at, day, stamp))
        if key not in over:
            known.passes[joint].append((attempt, stamp))
    _read_examinations(of_scope, gone, known, until)
    picks = standing_on(Pick.objects.filter(of_scope), until, gone).order_by("recorded_at", "id")
    for key, joint, method, stage, purpose in picks.values_list("id", "joint_id", "method", "stage", "purpose"):
        if key not in gone:
            known.picks[joint].append((method, _stage(stage), purpose))
    return known


def _read_examinations(of_scope: Q, gone: set[UUID], known: _Known, until: date) -> None:
    columns = (
        "id", "replaces_id", "joint_id", "attempt", "method", "stage", "result", "done_on", "done_at", "recorded_at",
    )  # fmt: skip
    rows = list(Examination.objects.filter(of_scope).order_by("done_on", "recorded_at", "id").values_list(*columns))
    over = corrected(((row[0], row[1], row[7]) for row in rows), until, gone)
    for row in rows:
        key, _, joint, _, _, stage, _, day, _, at = row
        if day > until:
            continue
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
    first_batch: str,
) -> list[Lot]:
    plain = _plain(row, basis, first_batch)
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


def _plain(row: ExamRule, basis: tuple[str, ...], first_batch: str) -> LotRule:
    """The rule as its plan has it."""
    return LotRule(
        row.id.hex, row.plan.name, row.joint_kind, row.method, _stage(row.stage), row.share_percent, basis,
        row.lot_size, first_batch,
    )  # fmt: skip


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
