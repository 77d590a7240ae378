"""What a job's people said that their own sheets and headings mean, and what is guessed of the others."""

from collections.abc import Sequence
from dataclasses import replace

from office.importing.further import further_of
from office.importing.guessing import Guess, guess
from office.importing.own_names import OwnNames, OwnSheet
from office.queries.imports import CHECK
from records.models import Job, Work

_MOST_CHECKS = 50


def names_said(job: Job) -> OwnNames:
    """Return what was said of the job's files, the latest word of each sheet; one query."""
    said = Work.objects.filter(job=job, kind=CHECK, arguments__has_key="said").order_by("-asked_at")
    found: dict[str, OwnSheet] = {}
    for one in said.values_list("arguments", flat=True)[:_MOST_CHECKS]:
        found = {**OwnNames.kept(one["said"]).sheets, **found}
    return OwnNames(found)


def names_of(work: Work) -> OwnNames:
    """Return the names by which the file of a check or an application is read; no query."""
    return OwnNames.kept(work.arguments.get("names") or {})


def guesses_of(
    seen: dict[str, list[list[str]]], names: OwnNames, given: dict[str, tuple[str, int]] | None = None
) -> Sequence[Guess]:
    """Return what each sheet is taken for, of its first rows, and what its rows are besides; no query.

    given   by sheet, the form and the row of headings that somebody just chose
    """
    given = given or {}
    return [_guess(sheet, rows, names, *given.get(sheet, (None, 0))) for sheet, rows in seen.items()]


def _guess(sheet: str, rows: list[list[str]], names: OwnNames, form: str | None, row: int) -> Guess:
    found, own = guess(sheet, rows, names, form, row), names.of(sheet)
    if own and own.form == found.form:
        return replace(found, also=own.also, is_also_said=True)
    return replace(found, also=further_of(found))


def seen_in(work: Work) -> dict[str, list[list[str]]]:
    """Return the first rows of each sheet, as a check saw them; no query."""
    return dict(work.result.get("seen") or ())
