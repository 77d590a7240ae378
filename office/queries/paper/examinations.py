"""Results of examinations on paper, one paper a method: the examiner's verdict, and the computed one beside it."""

from collections.abc import Iterator, Sequence
from datetime import date
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db.models import QuerySet

from office.queries.paper.batches import in_chunks
from office.queries.paper.title import About
from office.queries.paper.words import joint_key
from records.confirmed import Confirmed, confirmed_on
from records.facts import Library, job_facts, joint_facts
from records.models import Examination, Withdrawal
from reports.data import ExaminationRow, ExaminationsData
from rules.compare import check
from rules.examination import requirements
from rules.facts import JobFacts, JointFacts
from rules.finding import Requirement
from rules.limits import shown_bounds
from rules.specification import gap_called
from rules.terms import measure
from rules.units import show_length

FIRST = ("VT", "RT", "UT", "PT", "MT")
MEASURES = (
    ("leg A", "leg_a_mm"),
    ("leg B", "leg_b_mm"),
    ("undercut", "undercut_mm"),
    ("gap on film", "gap_on_film_mm"),
)


def examinations(about: About) -> tuple[ExaminationsData, ...]:
    """Return one paper for each method used in the scope; one query, and per method nine for each 2,000 results."""
    found = set(
        standing(Examination.objects.filter(joint__in=about.scope.joints().order_by())).values_list("method", flat=True)
    )
    methods = [method for method in FIRST if method in found] + sorted(found - set(FIRST))
    return tuple(
        ExaminationsData(
            about.title(f"Results of examination: {method}", "examinations", part=f"-{method}"), _rows(about, method)
        )
        for method in methods
    )


def examination_report(about: About, method: str, *, report: str = "", day: date | None = None) -> ExaminationsData:
    """Return the results of one method in the scope, of one report number or one day where asked for."""
    part = "".join(f"-{one}" for one in (method, report, day.isoformat() if day else "") if one)
    title = about.title(f"{report_title(method)} {report}".strip(), "examinations", part=part)
    narrowed = {"report__iexact": report, "done_on": day}
    return ExaminationsData(title, _rows(about, method, **{name: one for name, one in narrowed.items() if one}))


def report_title(method: str) -> str:
    """Return what a report of a method is called: VT report, Hardness report."""
    return f"{method[:1].upper()}{method[1:]} report"


def standing(records: QuerySet[Examination]) -> QuerySet[Examination]:
    """Narrow to results that were neither corrected nor withdrawn."""
    withdrawn = Withdrawal.objects.filter(kind="examination").values("record")
    return records.filter(replaced_by__isnull=True).exclude(id__in=withdrawn)


def _rows(about: About, method: str, **narrowed: Any) -> Iterator[ExaminationRow]:
    library, job = Library(about.job), job_facts(about.job, about.issued)
    confirmed = confirmed_on(about.job)
    rows = standing(Examination.objects.filter(joint__in=about.scope.joints().order_by(), method=method, **narrowed))
    rows = rows.select_related("joint__sheet", "joint__line").order_by(
        "joint__sort_key", "joint_id", "done_on", "recorded_at", "id"
    )
    for chunk in in_chunks(rows.iterator(chunk_size=2000)):
        facts = joint_facts(library, list({one.joint_id for one in chunk}))
        asked: dict[UUID, Sequence[Requirement]] = {}
        for one in chunk:
            if one.joint_id not in asked:
                asked[one.joint_id] = requirements(facts[one.joint_id], job)
            yield _row(one, asked[one.joint_id], job, facts[one.joint_id], confirmed)


def _row(
    one: Examination, asked: Sequence[Requirement], job: JobFacts, joint: JointFacts, confirmed: Confirmed
) -> ExaminationRow:
    return ExaminationRow(
        joint=joint_key(one.joint),
        attempt=one.attempt,
        method=one.method,
        date=one.done_on.isoformat(),
        examiner=one.by,
        result=one.result,
        report=", line ".join(part for part in (one.report, one.report_line) if part),
        measured=", ".join(
            f"{label.replace('gap', gap_called(one.joint.kind))} {show_length(value, job.units)}"
            for label, name in MEASURES
            if (value := getattr(one, name)) is not None
        ),
        computed="\n".join(computed(one, asked, confirmed)),
        acceptance=next((rule.acceptance for rule in joint.exam_rules if rule.method == one.method), ""),
        remark=one.indications,
    )


def computed(one: Examination, asked: Sequence[Requirement], confirmed: Confirmed) -> Iterator[str]:
    """Yield each limit that a measurement of the record was held against, whether it held, and what its source says."""
    for requirement in asked:
        value = measure(requirement.term)(one)
        if isinstance(value, Decimal):
            held = "within" if check(requirement)(one) is None else "OUT OF LIMITS"
            source, told = requirement.source, confirmed.words(requirement.source.tables)
            notes = [str(source) if source.state == "owner" else "", told]
            beside = ", ".join(one for one in notes if one)
            yield f"{requirement.args['label']} {shown_bounds(requirement)}: {held}{f' ({beside})' if beside else ''}"
