"""The pages of hold and witness points: what waits for the owner's inspector, and the plan."""

from uuid import UUID

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from inspection.actions.record_attendances import record_attendances
from inspection.actions.set_hold_points import set_hold_points
from inspection.forms.attendance_form import AttendanceForm
from inspection.forms.hold_point_form import HoldPointForm
from inspection.queries.hold_points import Waiting, hold_point_plan, points_of, waiting_points
from joints.actions.withdraw_records import ATTENDANCE
from joints.views.record_page import form_page, sent
from joints.views.withdraw import withdrawing
from records.access import JobRequest, on_job
from records.models import HoldPoint
from records.paging import keys_asked
from records.templatetags.spoolbook import person


@on_job(get="read", post="notify owner")
def show_points(request: JobRequest) -> HttpResponse:
    """Show one page of what waits, with the form by which many points are attended, waived or told of at once."""
    after, before = keys_asked(request.GET)
    waiting = waiting_points(request.job, after=after, before=before)
    return _answer(request, waiting, reverse("hold-points", args=[request.job.code]))


@on_job(get="read", post="notify owner")
def show_points_of_joint(request: JobRequest, joint: UUID) -> HttpResponse:
    """Show every point of one joint, come to or not, with the same form; it goes on to the joint card."""
    waiting = points_of(request.job, joint)
    if not waiting.joints:
        raise Http404("There is no such joint.")
    return _answer(request, waiting, reverse("joint", args=[request.job.code, joint]), of_joint=joint)


@on_job(get="read")
def show_plan(request: JobRequest) -> HttpResponse:
    """Show the points of the inspection and test plan."""
    return render(request, "inspection/hold_point_plan.html", {"points": hold_point_plan(request.job)})


@on_job(get="plan", post="plan")
def add_point(request: JobRequest) -> HttpResponse:
    """Plan one more point."""
    return _form_page(request, None)


@on_job(get="plan", post="plan")
def change_point(request: JobRequest, point: UUID) -> HttpResponse:
    """Change a point, or take it out of force."""
    return _form_page(request, get_object_or_404(HoldPoint.objects.select_related("line"), job=request.job, id=point))


@on_job(get="notify owner", post="notify owner")
def withdraw_attendance(request: JobRequest, joint: UUID, attendance: UUID) -> HttpResponse:
    """Withdraw what was recorded about a point; only the owner takes back what only the owner may record."""
    return withdrawing(request, joint, ATTENDANCE, str(attendance))


def _answer(request: JobRequest, waiting: Waiting, back: str, of_joint: UUID | None = None) -> HttpResponse:
    may_attend = "attend" in request.verbs
    form = AttendanceForm(
        sent(request),
        job=request.job,
        choices=waiting.choices,
        name=person(request.user),
        may_attend=may_attend,
    )
    return form_page(
        request,
        form,
        lambda: record_attendances(form.drafts(), job=request.job, by=request.user),
        template="inspection/hold_points.html",
        back=back,
        told="Recorded.",
        waiting=waiting,
        page=waiting,
        may_record="notify owner" in request.verbs,
        of_joint=of_joint,
    )


def _form_page(request: JobRequest, row: HoldPoint | None) -> HttpResponse:
    form = HoldPointForm(sent(request), job=request.job, row=row)
    return form_page(
        request,
        form,
        lambda: set_hold_points([form.draft()], job=request.job, by=request.user, reason=form.reason),
        template="inspection/hold_point.html",
        back=reverse("hold-point-plan", args=[request.job.code]),
        told=lambda written: "The point is set." if written else "The point stands so already.",
        title="Change a point" if row else "Plan a point",
    )
