"""The drawings of sheets: an isometric where a sheet has a route, else its weld map."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from uuid import UUID

from django.db.models import QuerySet

from joints.next_step import Steps
from joints.queries.routes import WITHDRAWN, shape_of_sheet
from office.queries.paper.legs import fillet_legs
from office.queries.paper.title import About
from office.queries.paper.weld_map import counts_of_drawings, in_order, map_joint, map_of_sheet, rows_of
from office.queries.paper.words import JointRow, day
from records.models import Route, Sheet
from reports.data import WeldMapData
from reports.isometric.drawn import Isometric, Weld
from reports.isometric.from_route import Writing, from_route
from rules.route.written import length_text
from rules.units import US

Drawing = WeldMapData | Isometric
# What an isometric tells of a joint beside what a map does.
OF_WELD = ("welded_on", "accepted_on", "stops", "corrects", "material_a", "material_b")
_NOWHERE = (0.0, 0.0, 0.0)


def drawings(
    about: About, found: QuerySet[Sheet], *, paper: str = "", as_built: bool = False, legs: bool = False
) -> tuple[Drawing, ...]:
    """Return the drawings of sheets in their order; five queries, and two for each sheet with a route.

    paper     of the isometrics; left out, A3 or Tabloid as the job's units are
    as_built  whether isometrics tell stamps and dates too
    legs      whether the joint table tells the leg that each fillet asks, for the library's queries more
    A spool has weld maps only: the isometric of a sheet shows more than one spool.
    """
    sheets = in_order(found)
    counts = counts_of_drawings(sheets)
    joints: defaultdict[UUID, list[JointRow]] = defaultdict(list)
    for joint in rows_of(about.scope.joints().filter(sheet__in=[sheet.id for sheet in sheets]), *OF_WELD):
        joints[joint.sheet_id].append(joint)
    made: dict[UUID, Isometric] = {}
    if about.scope.spool is None:
        paper = paper or ("Tabloid" if about.job.units == US else "A3")
        made = _isometrics(about, sheets, counts, joints, paper, as_built=as_built, legs=legs)
    return tuple(
        made.get(sheet.id) or map_of_sheet(about, sheet, counts, joints[sheet.id])
        for sheet in sheets
        if sheet.id in made or joints[sheet.id]
    )


def _isometrics(
    about: About,
    sheets: Sequence[Sheet],
    counts: Mapping[str, int],
    joints: Mapping[UUID, Sequence[JointRow]],
    paper: str,
    *,
    as_built: bool,
    legs: bool,
) -> dict[UUID, Isometric]:
    by_id = {sheet.id: sheet for sheet in sheets}
    routes = list(Route.objects.filter(sheet__in=list(by_id)))
    if not routes:
        return {}
    for route in routes:
        route.sheet = by_id[route.sheet_id]
        route.sheet.job = about.job
    drawn = [joint.id for route in routes for joint in joints[route.sheet_id]]
    asked = fillet_legs(about.job, drawn) if legs else {}
    made, steps = {}, Steps(about.job, frozenset())
    for route in routes:
        of_sheet = joints[route.sheet_id]
        shape = shape_of_sheet(route.sheet, route, of_sheet)
        if shape is None or not shape.pipes:
            continue
        known = {joint.number: replace(weld_of(steps, joint), leg=asked.get(joint.id, "")) for joint in of_sheet}
        drawn_numbers = {one.number for one in shape.joints}
        title = about.title_of_sheet(route.sheet, counts[route.sheet.drawing])
        made[route.sheet_id] = from_route(
            shape,
            title=replace(title, title="As-built isometric" if as_built else "Isometric", kind="isometric"),
            writing=writing_of(about.job.units, of_sheet),
            joints=known,
            gone=[known[one.number] for one in of_sheet if one.state == WITHDRAWN and one.number not in drawn_numbers],
            paper=paper,
            as_built=as_built,
        )
    return made


def weld_of(steps: Steps, joint: JointRow) -> Weld:
    """Return what an isometric shows of a joint; its place comes from the route."""
    return Weld(
        _NOWHERE,
        map_joint(joint, steps.job.units),
        href=steps.card(joint.id),
        finding="stop" if joint.stops else "correct" if joint.corrects else "",
        welded=day(joint.welded_on),
        accepted=day(joint.accepted_on),
    )


def without_findings(drawn: Sequence[Drawing]) -> tuple[Drawing, ...]:
    """Return drawings for paper, which does not tell of findings: they change with the day."""
    return tuple(
        replace(one, welds=tuple(replace(weld, finding="") for weld in one.welds))
        if isinstance(one, Isometric)
        else one
        for one in drawn
    )


def writing_of(units: str, joints: Iterable[JointRow]) -> Writing:
    """Return how lists are written, with what is known of the pieces at the joints."""
    materials: dict[str, str] = {}
    heats: dict[str, str] = {}
    for joint in joints:
        for mark, material, heat in (
            (joint.piece_a__mark, joint.material_a, joint.piece_a__heat__number or joint.on_a),
            (joint.piece_b__mark, joint.material_b, joint.piece_b__heat__number or joint.on_b),
        ):
            if mark and material:
                materials.setdefault(mark, material)
            if mark and heat:
                heats.setdefault(mark, heat)
    return Writing(lambda mm: length_text(mm, units), units, materials, heats)
