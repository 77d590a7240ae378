"""The imports of a job: what was sent in, what its check found, and what was written of it."""

import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import islice
from typing import Any
from uuid import UUID

from django.core.files.storage import default_storage

from records.models import Job, Sheet, Work

# What the rows of work are called.
CHECK, APPLY, UNDO, MODEL = "check workbook", "apply workbook", "undo import", "read model"
KINDS = (CHECK, APPLY, UNDO, MODEL)
MOST = 50
_NO_FILE = "imports/none"
A_PAGE = 100
FATES = ("new", "changed", "unchanged", "refused")


@dataclass(frozen=True, slots=True)
class Listed:
    """One page of a long list that a check kept; pages count from 1."""

    rows: list[dict[str, Any]]
    page: int
    pages: int
    total: int

    @property
    def first(self) -> int:
        """The number of its first row, from 1."""
        return (self.page - 1) * A_PAGE + 1

    @property
    def last(self) -> int:
        """The number of its last row."""
        return self.first + len(self.rows) - 1


def imports_of(job: Job) -> list[Work]:
    """Return the latest checks, applications, what took one back, and models, the newest first; one query."""
    works = Work.objects.filter(job=job, kind__in=KINDS).select_related("asked_by")
    return list(works.order_by("-asked_at")[:MOST])


def taken_back(works: Iterable[Work]) -> frozenset[str]:
    """The imports among these works that others of them took back."""
    return frozenset(one.arguments["applied"] for one in works if one.kind == UNDO and one.state == "done")


def import_of(job: Job, work: UUID) -> Work | None:
    """Return a check of a job, an application, what took one back, or a model; one query."""
    return Work.objects.select_related("asked_by", "job").filter(job=job, id=work, kind__in=KINDS).first()


def route_of_model(job: Job, work: str, number: str) -> str | None:
    """Return the text of a route that a model of the job holds, by its place from 1; None without one. One query."""
    if not (number.isascii() and number.isdigit() and len(number) < 6):
        return None
    try:
        found = Work.objects.filter(job=job, id=UUID(work), kind=MODEL, state="done").first()
    except ValueError:
        return None
    routes = found.result["routes"] if found else []
    return routes[int(number) - 1]["text"] if 0 < int(number) <= len(routes) else None


def sheets_named(job: Job) -> dict[str, Sheet]:
    """Return the drawing sheets of a job by "drawing/number"; one query."""
    rows = Sheet.objects.filter(job=job).select_related("line").order_by("drawing", "number")
    return {f"{one.drawing}/{one.number}": one for one in rows}


def suggested(routes: list[dict[str, Any]], sheets: dict[str, Sheet]) -> list[dict[str, Any]]:
    """Return a model's routes, each with the next sheet of the drawing or line that its system is named after."""
    free: dict[str, list[str]] = {}
    for name, sheet in sheets.items():
        for known in {sheet.drawing, sheet.line.number}:
            free.setdefault(known, []).append(name)
    for names in free.values():
        names.reverse()
    return [{**one, "sheet": free[one["line"]].pop() if free.get(one["line"]) else ""} for one in routes]


def application_of(check: Work) -> Work | None:
    """Return what applies a check, or did; one that failed counts no more; one query."""
    works = Work.objects.filter(job=check.job, kind=APPLY, arguments__check=str(check.id)).exclude(state="failed")
    return works.first()


def listed(result: dict[str, Any], what: str, page: int) -> Listed:
    """Return a page of the faults or the changes that a check kept; no query. A list that is gone is empty."""
    total = result.get(what, 0)
    pages = max(1, -(-total // A_PAGE))
    page = min(max(1, page), pages)
    name = result.get(f"{what}_file", "")
    if not name:
        return Listed([], page, pages, total)
    try:
        with default_storage.open(name) as kept:
            lines = islice(kept, (page - 1) * A_PAGE, page * A_PAGE)
            return Listed([json.loads(line) for line in lines], page, pages, total)
    except FileNotFoundError:
        return Listed([], page, pages, total)


def all_faults(result: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """Yield every fault that a check kept; no query. A list that is gone is empty."""
    try:
        with default_storage.open(result.get("faults_file") or _NO_FILE) as kept:
            yield from map(json.loads, kept)
    except FileNotFoundError:
        return


def alike_faults(result: dict[str, Any], page: int) -> Listed:
    """Return a page of the faults with those alike as one; no query. A check of an earlier version kept each alone."""
    if "alike" in result:
        return listed(result, "alike", page)
    each = listed(result, "faults", page)
    return replace(each, rows=[{**row, "cells": [row["cell"]] if row["cell"] else [], "more": 0} for row in each.rows])


def in_two(faults: Listed) -> list[dict[str, Any]]:
    """Return faults with their sentence as what is wrong and what is accepted; no query."""
    return [
        {**row, "wrong": wrong, "accepted": accepted}
        for row in faults.rows
        for wrong, _, accepted in (row["message"].partition("; "),)
    ]


def shown_rows(result: dict[str, Any]) -> list[dict[str, Any]]:
    """Return the sheets that have rows to show, each with (fate, count, rows); no query."""
    found = []
    for sheet in result.get("counts", ()):
        fates = [(fate, sheet[fate], sheet["first"][fate]) for fate in FATES if sheet["first"].get(fate)]
        if fates:
            found.append({"sheet": sheet["sheet"], "fates": fates})
    return found
