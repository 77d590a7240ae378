"""The calculators' pages: the list, a page each, and the same answer on paper."""

import re
from typing import Any

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from office.queries.calculator_page import groups, page_of
from office.queries.calculator_paper import calculation
from office.queries.calculators import Setting, as_refusal, calculator_named, setting, values_of
from records.models import User
from records.permissions import roles_of, verbs_of
from reports.calculation import calculation_pdf
from rules.calculators.asked import ComputeError

# Sent by the script while somebody types: what is still empty is no fault yet, and no refusal either.
TYPING = "X-Typing"


@never_cache
@login_required
@require_safe
def show_calculators(request: HttpRequest) -> HttpResponse:
    """List the calculators as the trade groups them."""
    within = _within(request)
    return render(request, "office/calculators.html", {"groups": groups(), "within": within})


@never_cache
@login_required
@require_safe
def show_calculator(request: HttpRequest, name: str) -> HttpResponse:
    """Show a calculator with what the address asks it, and the answer or what is wrong."""
    calculator = calculator_named(name)
    page = page_of(calculator, values_of(request.GET), _within(request))
    is_typing = TYPING in request.headers
    wrong = bool(page.faults or page.still) and not is_typing
    context = {"page": page, "is_typing": is_typing}
    return render(request, "office/calculator.html", context, status=422 if wrong else 200)


@never_cache
@login_required
@require_safe
def send_calculation(request: HttpRequest, name: str) -> HttpResponse:
    """Send an answer on paper; what can't be computed is refused in a sentence."""
    assert isinstance(request.user, User)
    calculator, within = calculator_named(name), _within(request)
    try:
        content = calculation_pdf(calculation(calculator, values_of(request.GET), within, by=request.user))
    except ComputeError as wrong:
        raise as_refusal(wrong) from wrong
    file = re.sub(r"[^A-Za-z0-9._-]+", "-", f"{within.job.code if within.job else ''} {name}").strip("-")
    response = HttpResponse(content, content_type="application/pdf")
    response["Content-Disposition"] = f'attachment; filename="{file}.pdf"'
    response["X-Content-Type-Options"] = "nosniff"
    return response


def _within(request: Any) -> Setting:
    """The setting that the address names; a job's pages carry its name and the way round it."""
    within = setting(request.GET, request.user)
    if within.job:
        request.job, request.roles = within.job, roles_of(request.user, within.job)
        request.verbs = verbs_of(request.roles)
    return within
