"""The rows of the sheet Routes: each step of each route with the numbers of the joints that it makes."""

from collections import defaultdict
from collections.abc import Iterator

from joints.queries.routes import setting_of
from office.exporting.values import listed
from office.importing import plan_sheets as forms
from records.models import Job, Route
from reports.spreadsheet import Cell
from rules.route.geometry import shape_of
from rules.route.parse import parse_route
from rules.route.step import Step

CHUNK = 200


def route_rows(job: Job) -> Iterator[list[Cell]]:
    """Yield the steps of every route of a job, by drawing and sheet; one query for each 200 routes."""
    routes = Route.objects.filter(job=job).select_related("sheet__line", "sheet__job")
    for route in routes.order_by("sheet__drawing", "sheet__number").iterator(chunk_size=CHUNK):
        steps, _ = parse_route(route.text, job.units)
        numbers = _numbers_by_line(route, steps)
        for place, step in enumerate(steps, start=1):
            yield _row(route, place, step, numbers.get(step.line, []))


def _numbers_by_line(route: Route, steps: tuple[Step, ...]) -> dict[int, list[str]]:
    found: dict[int, list[str]] = defaultdict(list)
    if route.numbers:
        shape = shape_of(steps, setting_of(route.sheet))
        for joint, number in zip(shape.joints, route.numbers, strict=False):
            found[joint.line].append(number)
    return found


def _row(route: Route, place: int, step: Step, numbers: list[str]) -> list[Cell]:
    cells: dict[str, Cell] = {
        "drawing": route.sheet.drawing,
        "sheet": route.sheet.number,
        "step": place,
        "item": step.item or None,
        "note": step.note or None,
        "joints": listed(numbers) if numbers else None,
    }
    return [cells.get(one.name) or step.texts.get(one.name) for one in forms.ROUTES.columns]
