"""The route of a sheet: its shape with the numbers that stay, and what a new one would do to the joints there are."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from hashlib import sha256
from typing import Any
from uuid import UUID

from django.db.models import Count

from joints.queries.planned_materials import materials_that_stay
from joints.queries.route_lengths import OtherLength, other_lengths
from records.models import (
    Examination,
    FitUp,
    Job,
    Joint,
    Line,
    Pass,
    Piece,
    Release,
    Route,
    Sheet,
    Spool,
)
from rules.cut_length import FLANGE_EDITIONS
from rules.gap import code_gap
from rules.materials import find_material
from rules.route.envelope import parse_envelope
from rules.route.geometry import shape_of_text
from rules.route.grammar import ITEMS
from rules.route.numbering import KEPT, MOVED, NEW, KnownJoint, KnownPiece, Renumbering, numbered_shape, renumber
from rules.route.parts import Setting
from rules.route.shape import PIPE, JointPlace, RouteFault, RouteShape
from rules.tables import given
from rules.units import UnitError

WITHDRAWN = "withdrawn"
_AUSTENITIC, _CARBON = ("8",), ("1", "3", "4", "5A", "5B", "15E")
# A joint as `_joints` reads it, by named columns.
JointRow = Any
_OF_JOINT = (
    "id", "number", "kind", "nps", "location", "state", "piece_a__mark", "piece_a__kind", "piece_b__mark",
    "piece_b__kind", "spool__mark", "spool_b__mark", "material_a", "material_b",
)  # fmt: skip
_RECORDS = (("fit-up", FitUp), ("pass", Pass), ("examination", Examination), ("release", Release))
_MANY = {"fit-up": "fit-ups", "pass": "passes", "examination": "examinations", "release": "releases"}


@dataclass(frozen=True, slots=True)
class Change:
    """What a new route does to one joint: its fate, what changes, and the records that speak of what was.

    fate   kept, moved, new or withdrawn      undoes   sentences: what was recorded on what is no more, or changes
    """

    number: str
    fate: str
    kind: str
    nps: str
    location: str
    changes: tuple[str, ...] = ()
    undoes: tuple[str, ...] = ()
    joint_id: UUID | None = None


@dataclass(frozen=True, slots=True)
class Proposal:
    """A route held against its sheet: its shape, the joints with their numbers, and what changes.

    base             what the sheet had when this was worked out; an action refuses to apply it to something else
    left_...         marks of pieces and spools of the sheet's joints that the route has no more
    other_lengths    pipes that are cut to another length than before
    other_materials  sentences: joints that keep a material which is not what the line asks now
    """

    text: str
    shape: RouteShape
    renumbering: Renumbering | None
    changes: tuple[Change, ...]
    base: str
    left_pieces: tuple[str, ...] = ()
    left_spools: tuple[str, ...] = ()
    other_lengths: tuple[OtherLength, ...] = ()
    other_materials: tuple[str, ...] = ()

    @property
    def numbered(self) -> RouteShape:
        """The shape with the numbers and marks that its joints, pieces and spools have or get."""
        return _numbered(self.shape, self.renumbering) if self.renumbering else self.shape

    @property
    def does_something(self) -> bool:
        """Whether any joint changes."""
        return any(one.fate != KEPT or one.changes for one in self.changes)


def setting_of(sheet: Sheet) -> Setting:
    """What a sheet's line and job say to its route."""
    return setting_for(sheet.line, sheet.job, sheet.number)


def setting_for(line: Line, job: Job, sheet: str) -> Setting:
    """What a line and a job say to the route of a sheet."""
    return Setting(
        nps=line.nps or "2",
        schedule=line.schedule or "40",
        units=job.units,
        socket_gap_mm=given(code_gap(units=job.units).about_mm),
        metal=_metal(line),
        spool_prefix=f"{line.number}-{sheet}",
        envelope_mm=_envelope(job),
        flanges_edition=job.flanges_edition or FLANGE_EDITIONS[0],
    )


def _envelope(job: Job) -> tuple[Decimal, Decimal, Decimal] | None:
    """The job's transport envelope; none where it can't be read in the units that the job has come to."""
    try:
        return parse_envelope(job.transport_envelope, job.units) if job.transport_envelope else None
    except UnitError:
        return None


def _metal(line: Line) -> str:
    facts = find_material(line.material) if line.material else None
    if facts is None:
        return ""
    return "austenitic" if facts.p_number in _AUSTENITIC else "carbon" if facts.p_number in _CARBON else ""


def route_of(sheet: Sheet) -> Route | None:
    """The route that a sheet has, or None; one query."""
    return Route.objects.filter(sheet=sheet).first()


def shape_of_sheet(
    sheet: Sheet, route: Route | None = None, joints: Sequence[JointRow] | None = None
) -> RouteShape | None:
    """The shape of a sheet's route with the numbers and marks that its joints have; None without one.

    route, joints    the sheet's, the joints with the columns of `_OF_JOINT`, where they were read already
    Two queries, and one more for each of them that was not.
    """
    route = route or route_of(sheet)
    if route is None:
        return None
    setting = setting_of(sheet)
    shape = shape_of_text(route.text, setting)
    if shape.faults:
        return shape
    joints = _joints(sheet) if joints is None else joints
    return _numbered(shape, _renumbered(sheet, route.text, shape, setting, route, joints, _pieces(sheet)))


def _numbered(shape: RouteShape, found: Renumbering) -> RouteShape:
    return numbered_shape(shape, found.numbers(), found.pieces, found.spools)


def shapes_of_line(line: Line) -> tuple[tuple[Sheet, RouteShape], ...]:
    """Each sheet of a line that has a route, with its shape; four queries a sheet and one."""
    routes = Route.objects.filter(sheet__line=line).select_related("sheet__line", "sheet__job")
    found = []
    for route in routes.order_by("sheet__drawing", "sheet__number"):
        shape = shape_of_sheet(route.sheet, route)
        if shape is not None:
            found.append((route.sheet, shape))
    return tuple(found)


def sheets_without_route(line: Line) -> list[Sheet]:
    """The sheets of a line of which no route tells; one query."""
    return list(Sheet.objects.filter(line=line, routes__isnull=True).order_by("drawing", "number"))


def propose(sheet: Sheet, text: str, *, route: Route | None = None) -> Proposal:
    """Hold a route's text against a sheet; four queries, four more where something is undone.

    route   the sheet's own, where it was read already
    """
    proposal, standing = _held(sheet, text, route or route_of(sheet))
    if proposal.renumbering is None:
        return proposal
    if not standing and not (proposal.shape.pipes or proposal.shape.components):
        # Where joints stand, an empty route takes them back; where none do, there is nothing to apply.
        return replace(proposal, shape=RouteShape(faults=(_nothing(setting_of(sheet).units),)), renumbering=None)
    found, by_number = proposal.renumbering, {joint.number: joint for joint in standing}
    materials = {number: (joint.material_a, joint.material_b) for number, joint in by_number.items()}
    stay = materials_that_stay(found.joints, proposal.shape, materials, sheet.line.material)
    return replace(proposal, changes=_changes(found, by_number), other_materials=stay)


def _nothing(units: str) -> RouteFault:
    return RouteFault(1, 1, f"The route has no pipe and no fitting yet, for example: {ITEMS['run'].example(units)}.")


def _held(sheet: Sheet, text: str, route: Route | None) -> tuple[Proposal, list[JointRow]]:
    """A proposal that does not say yet what changes, and the joints that stand."""
    setting = setting_of(sheet)
    shape = shape_of_text(text, setting)
    joints = _joints(sheet)
    base = base_of(route, joints)
    standing = _standing(joints)
    if shape.faults:
        return Proposal(text, shape, None, (), base), standing
    pieces = _pieces(sheet)
    found = _renumbered(sheet, text, shape, setting, route, joints, pieces)
    left = tuple(one.mark for one in pieces if one.mark not in set(found.pieces.values()))
    spools_left = dict.fromkeys(mark for one in standing for mark in (one.spool__mark, one.spool_b__mark) if mark)
    proposal = Proposal(text, shape, found, (), base, left)
    lengths = other_lengths(
        proposal.numbered.pipes, {one.mark: one.length_mm for one in pieces if one.kind == PIPE}, standing
    )
    gone = tuple(mark for mark in spools_left if mark not in set(found.spools.values()))
    return replace(proposal, left_spools=gone, other_lengths=lengths), standing


def _renumbered(
    sheet: Sheet,
    text: str,
    shape: RouteShape,
    setting: Setting,
    route: Route | None,
    joints: Sequence[JointRow],
    pieces: Sequence[Any],
) -> Renumbering:
    """The numbers and marks that the joints, pieces and spools of a text's shape have or get; one query."""
    return renumber(
        shape,
        known_joints(_standing(joints), _places(route, setting, shape if route and route.text == text else None)),
        used_numbers=[joint.number for joint in joints],
        used_pieces=[KnownPiece(one.mark, one.kind, one.nps) for one in pieces],
        used_spools=Spool.objects.filter(line=sheet.line_id).values_list("mark", flat=True),
        prefix=setting.spool_prefix,
        units=setting.units,
    )


def _standing(joints: Iterable[JointRow]) -> list[JointRow]:
    return [joint for joint in joints if joint.state != WITHDRAWN]


def _pieces(sheet: Sheet) -> list[Any]:
    rows = Piece.objects.filter(sheet=sheet).order_by("sort_key", "id")
    return list(rows.values_list("mark", "kind", "nps", "length_mm", named=True))


def _joints(sheet: Sheet) -> list[JointRow]:
    return list(Joint.objects.filter(sheet=sheet).order_by("sort_key", "id").values_list(*_OF_JOINT, named=True))


def base_of(route: Route | None, joints: Iterable[JointRow]) -> str:
    """A short sum of what a sheet's route and joints say, to notice that they changed meanwhile."""
    said = [route.text if route else ""]
    said += [f"{one.id} {one.number} {one.kind} {one.nps} {one.location} {one.state}" for one in joints]
    return sha256("\n".join(said).encode()).hexdigest()[:24]


def _places(route: Route | None, setting: Setting, shape: RouteShape | None) -> dict[str, JointPlace]:
    """Where the route that was applied has each joint, by number; its shape where that is known already."""
    if route is None or not route.numbers:
        return {}
    shape = shape or shape_of_text(route.text, setting)
    return dict(zip(route.numbers, shape.joints, strict=False))


def known_joints(joints: Sequence[JointRow], places: Mapping[str, JointPlace]) -> list[KnownJoint]:
    """A sheet's joints as numbering takes them, in the order of their numbers; their places from the route applied."""
    found = []
    for joint in joints:
        place = places.get(joint.number)
        # What was changed by hand since the route was applied stands no longer where the route had it.
        is_there = place is not None and (place.kind, place.nps) == (joint.kind, joint.nps)
        known = KnownJoint(
            number=joint.number,
            kind=joint.kind,
            nps=joint.nps,
            location=joint.location,
            piece_a=joint.piece_a__mark or "",
            piece_b=joint.piece_b__mark or "",
            pieces=(joint.piece_a__kind or "", joint.piece_b__kind or ""),
            spool=joint.spool__mark or "",
            spool_b=joint.spool_b__mark or "",
        )
        found.append(replace(known, at=place.at, axis=place.axis) if is_there and place is not None else known)
    return found


def _changes(found: Renumbering, by_number: dict[str, JointRow]) -> tuple[Change, ...]:
    gone = [by_number[one.number] for one in found.gone]
    moved = [by_number[one.number] for one in found.joints if one.fate == MOVED or one.changes]
    told = _records_on([*gone, *moved])
    changes = [
        Change(
            one.number,
            one.fate,
            one.place.kind,
            one.place.nps,
            one.place.location,
            one.changes,
            told.get(by_number[one.number].id, ()) if one.fate != NEW and one.changes else (),
            by_number[one.number].id if one.fate != NEW else None,
        )
        for one in found.joints
    ]
    changes += [
        Change(one.number, WITHDRAWN, one.kind, one.nps, one.location, (), told.get(one.id, ()), one.id) for one in gone
    ]
    return tuple(changes)


def _records_on(joints: Sequence[JointRow]) -> dict[UUID, tuple[str, ...]]:
    """What is recorded on joints, in words; four queries, none where there is no joint."""
    if not joints:
        return {}
    said: dict[UUID, list[str]] = {}
    ids = [joint.id for joint in joints]
    for name, model in _RECORDS:
        rows = model._default_manager.filter(joint_id__in=ids, replaced_by__isnull=True).order_by()
        for key, count in rows.values_list("joint_id").annotate(count=Count("id")):
            said.setdefault(key, []).append(f"{count} {_MANY[name] if count > 1 else name}")
    return {key: (", ".join(parts),) for key, parts in said.items()}
