"""The pages of the tables of standards: all of them, one with its rows, and confirming or withdrawing."""

from collections.abc import Callable
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from inspection.actions.confirm_tables import confirm_tables
from inspection.actions.demand_confirmation import demand_confirmation
from inspection.actions.withdraw_confirmations import withdraw_confirmations
from inspection.forms.confirm_form import ConfirmForm, WithdrawConfirmationForm
from inspection.queries.tables_told import table_told, tables_told
from joints.views.record_page import Answerable, SeeOther, form_page, sent
from records.access import JobRequest, on_job
from records.models import Confirmation
from records.paging import clean
from records.refusals import Implausible
from records.templatetags.spoolbook import person
from rules.confirmation import table_words
from rules.tables import row_keys, table_names


@on_job(get="read")
def show_tables(request: JobRequest) -> HttpResponse:
    """Show every table with its origin and who confirmed it."""
    return render(request, "inspection/tables.html", {"tables": tables_told(request.job)})


@on_job(get="read")
def show_table(request: JobRequest, table: str) -> HttpResponse:
    """Show a table with the rows that match what was asked for."""
    _known(table)
    find = clean(request.GET.get("find"))
    told, rows = table_told(request.job, table, find)
    return render(request, "inspection/table.html", {"told": told, "rows": rows, "find": find})


@on_job(post="confirm")
def demand(request: JobRequest) -> HttpResponse:
    """Say whether releases need confirmed tables, and show the tables again."""
    demanded = request.POST.get("demanded") == "yes"
    reason = clean(request.POST.get("reason"), 2000)
    try:
        changed = demand_confirmation(request.job, demanded, by=request.user, reason=reason)
    except Implausible as refusal:
        context = {"tables": tables_told(request.job), "refused": str(refusal)}
        return render(request, "inspection/tables.html", context, status=422)
    if changed:
        told = "now asks for confirmed tables" if demanded else "does not ask for confirmed tables any more"
        messages.success(request, f"A release {told}.")
    return SeeOther(reverse("tables", args=[request.job.code]))


@on_job(get="confirm", post="confirm")
def confirm(request: JobRequest, table: str) -> HttpResponse:
    """Confirm a table, or the row that the address names."""
    _known(table)
    row = clean(request.GET.get("row"), 120)
    if row and row not in row_keys(table):
        raise Http404("The table has no such row.")
    form = ConfirmForm(sent(request), job=request.job, name=person(request.user))
    about = table_words((table, row))
    return _form_page(
        request, form, lambda: confirm_tables([form.draft(table, row)], job=request.job, by=request.user),
        table=table, title=f"Confirm table {about}", submit="Confirm", told=f"Table {about} is confirmed.",
    )  # fmt: skip


@on_job(get="confirm", post="confirm")
def withdraw(request: JobRequest, confirmation: UUID) -> HttpResponse:
    """Withdraw a confirmation."""
    found = get_object_or_404(Confirmation, job=request.job, id=confirmation, is_withdrawn=False)
    form = WithdrawConfirmationForm(sent(request), job=request.job, name=person(request.user))
    about = table_words((found.table, found.row))
    return _form_page(
        request, form, lambda: withdraw_confirmations([form.draft(found)], job=request.job, by=request.user),
        table=found.table, title=f"Withdraw the confirmation of table {about}", submit="Withdraw",
        told="The confirmation is withdrawn.", confirmation=found,
    )  # fmt: skip


def _known(table: str) -> None:
    if table not in table_names():
        raise Http404("There is no such table.")


def _form_page(
    request: JobRequest, form: Answerable, act: Callable[[], Any], *, table: str, told: str, **context: Any
) -> HttpResponse:
    back = reverse("table", args=[request.job.code, table])
    return form_page(request, form, act, template="inspection/table_confirm.html", back=back, told=told, **context)
