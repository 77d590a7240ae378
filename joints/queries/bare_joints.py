"""Joints that name no procedure, those alike together, held against one that they could be given."""

import json
from dataclasses import dataclass
from uuid import UUID

from django.db.models import Count, QuerySet

from records.models import Job, Joint, Procedure
from records.paper_rows import procedure_facts
from records.papers import Library
from rules.procedure import covers

# Kinds of joints that a page lists; what is left comes when these have theirs.
MOST = 200
ALIKE = ("line_id", "kind", "nps", "schedule", "position", "material_a", "material_b")


@dataclass(frozen=True, slots=True)
class Bare:
    """Joints of a line without a procedure that are alike in all that a procedure's range speaks of.

    key       what they have alike, as a form sends it back
    outside   what of them the procedure does not cover; nothing where it covers them
    """

    key: str
    line: str
    kind: str
    nps: str
    schedule: str
    position: str
    materials: tuple[str, ...]
    joints: int
    outside: tuple[str, ...]


def bare_joints(job: Job, procedure: Procedure) -> list[Bare]:
    """Return the joints of a job that name no procedure, covered ones first, by line, size and kind; two queries."""
    library, facts = Library(job), procedure_facts(procedure, ())
    library.own_materials  # noqa: B018 - read at once, so that the page costs the same with and without joints
    rows = without_procedure(job).order_by("line__number", "od_mm", "kind", *ALIKE[3:])
    found = []
    columns = ("line__number", "od_mm", "wall_mm", *ALIKE)
    for line, od, wall, *alike, count in rows.values_list(*columns).annotate(count=Count("id"))[:MOST]:
        _, kind, nps, schedule, position, a, b = alike
        p_numbers = tuple(one.p_number if one else "" for one in map(library.material, (a, b)))
        outside = covers(facts, kind, od, wall, (p_numbers[0], p_numbers[1]), position=position, units=job.units)
        materials = tuple(dict.fromkeys(name for name in (a, b) if name))
        key = json.dumps([str(value) for value in alike])
        found.append(Bare(key, line, kind, nps, schedule, position, materials, count, tuple(map(str, outside))))
    return sorted(found, key=lambda one: bool(one.outside))


def without_procedure(job: Job) -> QuerySet[Joint]:
    """Return the joints that could be given a procedure."""
    return Joint.objects.filter(job=job, procedure=None).exclude(state="withdrawn")


def alike(key: str) -> dict[str, str | UUID] | None:
    """Return what joints have alike, as a form sent it back; None for what is no such thing."""
    try:
        values = json.loads(key)
        if not (isinstance(values, list) and len(values) == len(ALIKE) and all(isinstance(v, str) for v in values)):
            return None
        return dict(zip(ALIKE, [UUID(values[0]), *values[1:]], strict=True))
    except ValueError:
        return None
