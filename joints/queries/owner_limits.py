"""The owner's specification of a job as its page shows it: each limit beside the code's and the procedures'."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from uuid import UUID

from django.db.models import Case, Q, When

from records.clock import today_on
from records.facts import Library, job_facts
from records.models import Job, Joint, OwnerLimit
from records.paper_rows import specification_facts
from records.papers import specification_of
from rules.facts import JobFacts, JointFacts, SpecificationFacts
from rules.fit_up import codes_figure
from rules.gap import shown as gap_shown
from rules.given import given
from rules.specification import (
    CODE,
    LIMITS,
    NOBODY,
    PLAN,
    PROCEDURE,
    REPLACED,
    WITHDRAWN,
    Bound,
    called,
    crossed,
    crossed_words,
    figure_of,
    is_looser,
    narrowed,
    source_of,
)  # fmt: skip

# Joints alike in all of these are limited alike.
ALIKE = (
    "kind", "nps", "schedule", "od_mm", "wall_mm", "socket_class", "line__fluid_service", "line__severe_cyclic",
    "procedure_id", "line__exam_plan_id", "is_in_flange",
)  # fmt: skip
MOST_GROUPS = 2000
GAPS = ("gap min", "gap max")
_NOTHING_BESIDE = {
    CODE: "the code sets none for these joints",
    PROCEDURE: "no procedure of these joints sets one",
    PLAN: "no plan of these joints asks for it",
    NOBODY: "no code limits it",
}


@dataclass(frozen=True, slots=True)
class LimitShown:
    """One limit of the owner.

    beside  what code, procedures and plans say of the same, where the limit applies: "code: 1/32 in"
    looser  whose stricter figure it meets, and what follows
    crossed the owner's own figure that it contradicts: a least over the greatest
    """

    id: UUID
    words: str
    applies: str
    figure: str
    mode: str
    source: str
    beside: tuple[str, ...]
    looser: tuple[str, ...]
    crossed: tuple[str, ...]

    @property
    def is_withdrawn(self) -> bool:
        """Whether it holds no more."""
        return self.mode == WITHDRAWN


def owner_limits(job: Job) -> list[LimitShown]:
    """Return the limits of a job in the order of the trade, those withdrawn last; at most eight queries."""
    rows = list(OwnerLimit.objects.filter(job=job).order_by("limit", "joint_kind", "service"))
    if not rows:
        return []
    settings = job_facts(job, today_on(job))
    groups = [(one, given(one, settings)) for one in _groups(job)]
    order = {name: place for place, name in enumerate(LIMITS)}
    standing = [specification_facts(row) for row in rows if row.mode != WITHDRAWN]
    told = {one: crossed_words(*pair, job.units) for pair in crossed(standing) for one in pair}
    shown = sorted(rows, key=lambda row: (row.mode == WITHDRAWN, order[row.limit]))
    return [_shown(row, settings, groups, told) for row in shown]


def crossed_limits(job: Job, row: OwnerLimit) -> list[str]:
    """Return a sentence for each limit of the owner that this one contradicts; one query."""
    of_it = (row.limit, row.joint_kind, row.service)
    pairs = crossed(specification_of(job))
    return [
        crossed_words(*pair, job.units)
        for pair in pairs
        if of_it in [(one.limit, one.joint_kind, one.service) for one in pair]
    ]


def _groups(job: Job) -> Iterator[JointFacts]:
    """One joint for each group of joints that are limited alike; one query, and the library's."""
    library = Library(job)
    # As `rules.fitting_words.is_flange` has it.
    flanged = Q(piece_a__kind__icontains="flange") | Q(piece_b__kind__icontains="flange")
    joints = Joint.objects.filter(job=job).annotate(is_in_flange=Case(When(flanged, then=True), default=False))
    for row in joints.order_by().values_list(*ALIKE).distinct()[:MOST_GROUPS]:
        kind, nps, schedule, od_mm, wall_mm, socket_class, service, severe_cyclic, procedure, plan, in_flange = row
        yield JointFacts(
            key="",
            kind=kind,
            location="",
            nps=nps,
            schedule=schedule,
            od_mm=od_mm,
            wall_mm=wall_mm,
            service=service,
            severe_cyclic=severe_cyclic,
            revision="",
            socket_class=socket_class,
            in_flange=bool(in_flange),
            procedure=library.procedures.get(procedure) if procedure else None,
            has_exam_plan=plan is not None,
            exam_rules=library.rules_for(plan, kind, nps),
        )


def _shown(
    row: OwnerLimit,
    job: JobFacts,
    groups: Sequence[tuple[JointFacts, Mapping[str, Bound]]],
    told: Mapping[SpecificationFacts, str],
) -> LimitShown:
    name, units, facts = row.limit, job.units, specification_facts(row)
    own = Bound(row.value, source_of(facts))
    mine = [pair for pair in groups if narrowed((facts,), pair[0].kind, pair[0].service, pair[0].severe_cyclic)]
    bounds = [found[name] for _, found in mine if name in found]
    beside = list(_beside(name, bounds, units))
    if name in GAPS and (code := next((found for joint, _ in mine if (found := codes_figure(joint, job))), None)):
        beside.append(f"code: {gap_shown(code, units)}, of a socket before welding")
    return LimitShown(
        id=row.id,
        words=LIMITS[name].words,
        applies=", ".join(part for part in (row.joint_kind, row.service) if part) or "every joint",
        figure=figure_of(own, name, units),
        mode=row.mode,
        source=str(own.source),
        beside=tuple(beside) or (_NOTHING_BESIDE[LIMITS[name].beside],),
        looser=() if row.mode == WITHDRAWN else tuple(_looser(row, bounds)),
        crossed=(told[facts],) if facts in told else (),
    )


def _beside(name: str, bounds: Sequence[Bound], units: str) -> Iterator[str]:
    """Whose figures stand beside the owner's, each once: `code: 1/32 in`, `code: 7/32 in to 5/16 in`."""
    by_name: dict[str, list[Bound]] = {}
    for bound in bounds:
        by_name.setdefault(called(bound.source), []).append(bound)
    for who, of_one in sorted(by_name.items()):
        ends = (min(of_one, key=_value), max(of_one, key=_value))
        yield f"{who}: {' to '.join(dict.fromkeys(figure_of(one, name, units) for one in ends))}"


def _looser(row: OwnerLimit, bounds: Sequence[Bound]) -> Iterator[str]:
    """Whose stricter figure the owner's meets, and which of the two then counts."""
    strict = dict.fromkeys(str(one.source) for one in bounds if is_looser(row.limit, row.value, one.value))
    follows = "and replaces it" if row.mode == REPLACED else "which still stands"
    for source in strict:
        yield f"looser than {source}, {follows}"


def _value(bound: Bound) -> Decimal:
    return bound.value
