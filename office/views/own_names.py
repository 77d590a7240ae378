"""Saying what a file's own sheets and headings mean: guessed, shown, confirmed, and checked by it."""

from typing import Any
from uuid import UUID

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render

from office.actions.check_workbook import ask_again
from office.forms.own_names_form import doubled, given_sheets, is_shown_anew, names_given, unchanged
from office.importing.columns import header
from office.importing.forms import BY_NAME, NAMES
from office.importing.further import MOST_FURTHER, choices, lacking
from office.importing.guessing import Guess
from office.importing.own_names import MOST_ABOVE, OwnNames, OwnPart
from office.queries.imports import CHECK, import_of
from office.queries.own_names import guesses_of, names_of, names_said, seen_in
from records.access import JobRequest, on_job
from records.refusals import Fault, Implausible


@on_job(get="plan", post="plan")
def show_names(request: JobRequest, imported: UUID) -> HttpResponse:
    """Show what each sheet and heading of a checked file is taken for; a POST checks the file anew by what it says."""
    work = import_of(request.job, imported)
    if work is None or work.kind != CHECK or work.state != "done":
        raise Http404("There is no such check.")
    seen, names = seen_in(work), names_of(work)
    guesses = guesses_of(seen, names)
    faults: list[Fault] = []
    is_anew = False
    if request.method == "POST":
        given = given_sheets(request.POST, guesses)
        guesses = guesses_of(seen, names, given)
        is_anew = is_shown_anew(request.POST, given)
        faults = [] if is_anew else [Fault("names", told) for told in doubled(request.POST, guesses)]
        said = names_given(request.POST, guesses, names_said(request.job))
        if is_anew or faults:
            typed = {header(one): said.sheets[header(one)] for one in unchanged(request.POST, given)}
            guesses = guesses_of(seen, OwnNames({**names.sheets, **typed}), given)
        else:
            try:
                again = ask_again(work, by=request.user, names=said)
            except Implausible as refusal:
                faults = [Fault("names", refusal.message)]
            else:
                return redirect("import", code=request.job.code, imported=again.id)
    context = {"work": work, "sheets": _told(guesses), "forms": NAMES, "rows": MOST_ABOVE}
    context |= {"faults": faults, "is_anew": is_anew}
    return render(request, "office/import_names.html", context, status=422 if faults else 200)


def _told(guesses: Any) -> list[dict[str, Any]]:
    return [
        {
            "guess": one,
            "columns": _columns(one.form),
            "further": [_part(each, one) for each in one.also],
            "read": {place for each in one.also for place in _places(each, one)},
            "has_room": bool(one.form) and len(one.also) < MOST_FURTHER,
        }
        for one in guesses
    ]


def _part(each: OwnPart, one: Guess) -> dict[str, Any]:
    chosen = choices(each, one)
    return {
        "form": each.form,
        "choices": [choice for choice in chosen if choice.is_plain],
        "more": [choice for choice in chosen if not choice.is_plain],
        "lacking": lacking(each, one),
    }


def _columns(name: str) -> list[str]:
    form = BY_NAME.get(header(name))
    return [column.name for column in form.columns] if form else []


def _places(each: OwnPart, one: Guess) -> set[int]:
    return {heading.place for heading in one.headings if heading.key in each.read.values()}
