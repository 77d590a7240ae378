"""The page on which an examination is recorded or corrected."""

from uuid import UUID

from django.http import Http404, HttpResponse

from inspection.actions.record_examinations import METHODS, record_examinations
from inspection.forms.examination_form import ExaminationForm
from inspection.queries.examiners import examiners_for
from inspection.views.examination_queue import after_this
from joints.cautions import cautions_for
from joints.queries.find_joint import find_joint
from joints.queries.joint_asks import Ask, Plan, plan_of
from joints.views.kept_record import of_who_kept_it
from joints.views.record_page import record_page, record_to_correct, sent
from records.access import JobRequest, on_job
from records.models import Examination
from records.templatetags.spoolbook import person
from rules.examination import ON_FILM
from rules.indications import limits


@of_who_kept_it
@on_job(get="examine", post="examine")
def record_examination(request: JobRequest, joint: UUID, method: str) -> HttpResponse:
    """Record the result of one method on a joint."""
    if method not in METHODS:
        raise Http404("There is no such examination.")
    found = find_joint(request.job, joint)
    plan = plan_of(request.job, found)
    replaced = record_to_correct(request, Examination, found)
    if replaced is not None and replaced.method != method:
        raise Http404("There is no such record of this method.")
    examiners, mine = examiners_for(request.job, method), person(request.user)
    # Who writes a film report down has seldom read the film: another name than a certified one is not put there.
    is_mine = not examiners or mine.casefold() in {one.name.casefold() for one in examiners}
    form = ExaminationForm(
        sent(request),
        plan=plan,
        method=method,
        job=request.job,
        joint=found,
        user=request.user,
        name=mine if is_mine else "",
        replaced=replaced,
    )
    following = None if replaced else after_this(request.job, found, method, request.GET)
    return record_page(
        request,
        found,
        form,
        record_examinations,
        template="inspection/examination_record.html",
        told=f"{'Correction of ' if replaced else ''}{method} of joint {found.number} recorded.",
        back=following[0] if following else "",
        following=following,
        title=f"Correct {method}" if replaced else f"Record {method}",
        submit="Record the correction" if replaced else f"Record {method}",
        asks=_asks(plan, method),
        limits=limits(plan.joint, plan.job, method),
        confirmed=plan.confirmed,
        rules=[rule for rule in plan.exam_rules if rule.method == method],
        examiners=examiners,
        more_words="Line of the report, day and time",
        cautions=cautions_for(f"examine {method}"),
    )


def _asks(plan: Plan, method: str) -> list[Ask]:
    """What a measurement by this method is held against: leg and undercut by eye, the gap after welding on the film."""
    wanted = {"VT": False, "RT": True}.get(method)
    return [ask for ask in plan.asks("examination") if (ask.id == ON_FILM) is wanted]
