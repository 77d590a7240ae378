"""The first page after the door: the jobs of a person."""

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from office.queries.jobs import jobs_with_roles
from records.models import User


@login_required
@require_safe
def start(request: HttpRequest) -> HttpResponse:
    """Go straight to the job where there is only one, else choose."""
    assert isinstance(request.user, User)  # whoever is nobody does not come past the door
    jobs = jobs_with_roles(request.user)
    if len(jobs) == 1:
        return redirect("job", code=jobs[0].job.code)
    return render(request, "office/start.html", {"jobs": jobs})
