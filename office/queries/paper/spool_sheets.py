"""Spool sheets as data: the part of a route that is the spool, its pieces to cut, its joints and what each asks."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from math import dist

from django.db.models import Q

from joints.next_step import Steps
from joints.queries.joint_asks import asked
from joints.queries.routes import shape_of_sheet
from office.queries.paper.drawings import OF_WELD, weld_of, writing_of
from office.queries.paper.title import About
from office.queries.paper.weld_map import rows_of
from office.queries.paper.words import JointRow, joint_ring
from office.queries.scope import Scope
from records.clock import today_on
from records.confirmed import Confirmed, confirmed_on
from records.facts import Library, job_facts, joint_facts
from records.models import Job, Joint, Piece, Route, Sheet, Spool
from reports.data import Ring, TitleBlock
from reports.isometric.drawn import Isometric
from reports.isometric.from_route import from_route
from reports.spool_sheet import SpoolSheet
from rules.finding import Requirement
from rules.fitting_words import fitting_called
from rules.insertion import OFF_THE_FACE_MM
from rules.judge import requirements
from rules.measurable import on_a_rule
from rules.route.bill import called
from rules.route.shape import Component, Dimension, PipePiece, RouteShape, SpoolShape
from rules.route.vector import Vector
from rules.route.written import length_text
from rules.size_words import rating_words, show_pipe_size
from rules.specification import exam_rules, owners_of
from rules.units import LB_IN_KG, US, plain, show_length

NO_ROUTE = (
    "No drawing: the sheet of this spool has no route yet. Drawing, cut lengths, weight and size follow from the route."
)
RIM = "Size over pipe and fittings; flange rims reach beyond it."
EMPTY = (
    "No drawing: no joint of the plan is on this spool. Where a new route gave its joints to other spools, nothing is "
    "made of it any more."
)
MARKED = "Witness mark: common practice, no source. Made with the pipe on the bottom of its socket, then backed off."
TRIMMED = "With the field-fit allowance, which is trimmed where the spool is fitted."
NEAR = 5.0  # mm: a dimension begins at a piece of the spool, or a gap beside it
MOST = 500  # spools of one line

Row = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Known:
    """What all sheets of one printing share."""

    about: About
    job: Job
    asked: Mapping[str, tuple[str, str, str]]  # of a joint, by its id: at fit-up, of the weld, examinations
    joints: Mapping[Spool, Sequence[JointRow]]
    shapes: Mapping[Sheet, RouteShape]
    pieces: Mapping[str, Piece]  # by sheet and mark


def spool_sheets(about: About, spools: Sequence[Spool]) -> tuple[SpoolSheet, ...]:
    """Return the sheets of spools; some eighteen queries, the library's, and four for each route.

    Of several, those without a joint have no sheet; the first sheet names them.
    """
    known = _known(about, spools)
    empty = [spool for spool in spools if not known.joints.get(spool)]
    if not empty or len(empty) == len(spools):
        return tuple(_sheet(known, spool) for spool in spools)
    first, *rest = (_sheet(known, spool) for spool in spools if spool not in empty)
    told = f"Without a sheet, since no joint of the plan is on them: {', '.join(spool.mark for spool in empty)}."
    return replace(first, notes=(*first.notes, told)), *rest


def spools_of(scope: Scope) -> tuple[Spool, ...]:
    """Return the spools that a scope prints: its own, or those of its line by mark; one query."""
    if scope.spool:
        return (scope.spool,)
    spools = Spool.objects.filter(line=scope.line).select_related("line").order_by("sort_key", "id")
    return tuple(spools[:MOST])


def _known(about: About, spools: Sequence[Spool]) -> _Known:
    job = about.job
    of_spools = Joint.objects.filter(Q(spool__in=spools) | Q(spool_b__in=spools), job=job).exclude(state="withdrawn")
    rows = rows_of(of_spools.order_by("sort_key", "id"), *OF_WELD, "spool_id", "spool_b_id")
    by_id = {spool.pk: spool for spool in spools}
    joints: defaultdict[Spool, list[JointRow]] = defaultdict(list)
    for joint in rows:
        for key in dict.fromkeys((joint.spool_id, joint.spool_b_id)):
            if key in by_id:
                joints[by_id[key]].append(joint)
    sheets = {joint.sheet_id for some in joints.values() for joint in some}
    routes = Route.objects.filter(sheet__in=sheets).select_related("sheet__line", "sheet__job")
    shapes = {}
    for route in routes.order_by("sheet__drawing", "sheet__number"):
        shape = shape_of_sheet(route.sheet, route)
        if shape is not None:
            shapes[route.sheet] = shape
    pieces = Piece.objects.filter(sheet__in=sheets).select_related("heat")
    named = {f"{piece.sheet_id} {piece.mark}": piece for piece in pieces}
    ids = [joint.id for some in joints.values() for joint in some]
    return _Known(about, job, _asked(job, list(dict.fromkeys(ids))), joints, shapes, named)


def _asked(job: Job, ids: Sequence) -> dict[str, tuple[str, str, str]]:
    """What each joint asks at fit-up, of its weld and by examination, in words."""
    settings, confirmed = job_facts(job, today_on(job)), confirmed_on(job)
    found = {}
    for key, facts in joint_facts(Library(job), ids).items():
        all_of_it = requirements(facts, settings)
        found[str(key)] = (
            _words(all_of_it, confirmed, ("gap", "squareness", "high-low")),
            _words(all_of_it, confirmed, ("leg", "passes")),
            ", ".join(
                f"{one.method} {plain(one.share_percent)} %" for one in exam_rules(facts, owners_of(facts, settings))
            ),
        )
    return found


def _words(all_of_it: Iterable[Requirement], confirmed: Confirmed, wanted: Sequence[str]) -> str:
    told = [asked(one, confirmed) for one in all_of_it if one.id in wanted]
    # "passes at least 4 passes" says it twice.
    return "; ".join(
        one.bounds if one.id == "passes" else f"{one.label.lower()} {one.bounds}" for one in told if one.bounds
    )


def _sheet(known: _Known, spool: Spool) -> SpoolSheet:
    units = known.job.units
    joints = known.joints.get(spool, ())
    found = next(
        ((sheet, shape, one) for sheet, shape in known.shapes.items() for one in shape.spools if one.mark == spool.mark
         and any(joint.sheet_id == sheet.pk for joint in joints)), None
    )  # fmt: skip
    about = replace(known.about, scope=Scope(known.job, spool=spool))
    title = about.title(f"Spool {spool.mark}", "spool sheet", part=f"-{spool.mark}")
    paper = "Tabloid" if units == US else "A3"
    rows = tuple(_joint_row(known, joint) for joint in joints)
    if found is None:
        return SpoolSheet(
            title, None, NO_ROUTE if joints else EMPTY, (), _planned_pieces(known, joints), rows, paper=paper
        )
    sheet, shape, of_spool = found
    drawn_sheet = f"{sheet.drawing}, sheet {sheet.number}"
    title = replace(title, supplement=f"line {spool.line.number}, {drawn_sheet}", revision=sheet.revision)
    own = _own(shape, of_spool)
    pieces, notes = _pieces(known, own, sheet)
    return SpoolSheet(
        title=title,
        drawing=_drawing(known, sheet, own, joints, title, paper),
        no_drawing="",
        facts=_facts(of_spool, units),
        pieces=pieces,
        joints=rows,
        warned=of_spool.exceeds,
        notes=(RIM, *notes),
        paper=paper,
    )


def _own(shape: RouteShape, spool: SpoolShape) -> RouteShape:
    """The part of a route that is one spool."""
    marks = set(spool.pieces)
    pipes = tuple(one for one in shape.pipes if one.mark in marks)
    components = tuple(one for one in shape.components if one.mark in marks)
    joints = tuple(shape.joints[place] for place in spool.joints)
    places = [at for pipe in pipes for at in (pipe.first, pipe.last)]
    places += [at for one in components for at in (one.centre, *(end.at for end in one.ends))]
    ends = [at.floats() for at in (*places, *(joint.at for joint in joints))]
    kept = _dimensions(shape, lambda at: _near(at, ends) or any(_is_on(one, at) for one in pipes))
    return replace(
        shape,
        pipes=pipes,
        components=components,
        joints=joints,
        dimensions=tuple(kept),
        supports=tuple(
            one for one in shape.supports if _near(one.at, ends) or any(_is_on(pipe, one.at) for pipe in pipes)
        ),
        continuations=tuple(one for one in shape.continuations if _near(one.at, ends)),
        end_places=tuple(one for one in shape.end_places if _near(one.at, ends)),
        spools=(spool,),
    )


def _dimensions(shape: RouteShape, is_own: Callable[[Vector], bool]) -> list[Dimension]:
    """The dimensions between two places of the spool; the sides of a skew run, which follow its length, go with it."""
    found: list[Dimension] = []
    is_kept = False
    for one in shape.dimensions:
        if one.of != "offset":
            is_kept = is_own(one.start) and is_own(one.end)
        found += [one] if is_kept else []
    return found


def _is_on(pipe: PipePiece, at: Vector) -> bool:
    """Whether a place lies on a length of pipe: where a run ends within it, a support stands or a branch leaves."""
    along = (at - pipe.first).dot(pipe.direction)
    if not 0 <= along <= (pipe.last - pipe.first).dot(pipe.direction):
        return False
    return float((at - pipe.first - pipe.direction.times(along)).length()) < NEAR


def _near(at: Vector, ends: Sequence[tuple[float, float, float]]) -> bool:
    return any(dist(at.floats(), end) < NEAR for end in ends)


def _drawing(
    known: _Known, sheet: Sheet, own: RouteShape, joints: Sequence[JointRow], title: TitleBlock, paper: str
) -> Isometric:
    of_sheet = [joint for joint in joints if joint.sheet_id == sheet.pk]
    steps = Steps(known.job, frozenset())
    drawing = from_route(
        own,
        title=title,
        writing=writing_of(known.job.units, of_sheet),
        joints={joint.number: replace(weld_of(steps, joint), finding="") for joint in of_sheet},
        paper=paper,
    )
    return replace(drawing, bill=(), cuts=())


def _facts(spool: SpoolShape, units: str) -> tuple[tuple[str, str], ...]:
    sides = " x ".join(length_text(side, units) for side in spool.size_mm)
    facts = [("Overall", f"{sides}, east x north x up"), ("Weight", weight_words(spool.weight_kg, units))]
    if spool.left_out:
        marks = ", ".join(spool.left_out)
        facts.append(("Not in the weight", f"{'piece' if len(spool.left_out) == 1 else 'pieces'} {marks}"))
    return tuple(facts)


def _pieces(known: _Known, own: RouteShape, sheet: Sheet) -> tuple[tuple[Row, ...], tuple[str, ...]]:
    """The rows of pieces in the order of their marks, and the notes that they need."""
    units = known.job.units
    rows = []
    is_marked = is_trimmed = False
    parts: list[PipePiece | Component] = [*own.pipes, *own.components]
    for one in sorted(parts, key=_by_mark):
        planned = known.pieces.get(f"{sheet.pk} {one.mark}")
        heat = planned.heat.number if planned and planned.heat else ""
        if isinstance(one, Component):
            rows.append(
                (
                    one.mark,
                    called(one, units),
                    show_pipe_size(one.nps, _rating(one), units, one.second_nps),
                    "",
                    "",
                    "",
                    heat,
                )
            )
            continue
        length = length_text(one.cut_mm, units)
        if one.allowance_mm:
            length, is_trimmed = f"{length} *", True
        ends = [(_insertion(one, end, units), _mark(one, end, units)) for end in (0, 1)]
        is_marked = is_marked or any(mark for _, mark in ends)
        inserted, marked = (_both(column) for column in zip(*ends, strict=True))
        rows.append((one.mark, "pipe", show_pipe_size(one.nps, one.schedule, units), length, inserted, marked, heat))
    notes = [MARKED] if is_marked else []
    return tuple(rows), (*notes, *([f"* {TRIMMED}"] if is_trimmed else []))


def _by_mark(one: PipePiece | Component) -> tuple[int, str]:
    return (int(one.mark), "") if one.mark.isdigit() else (10**9, one.mark)


def _rating(one: Component) -> str:
    return f"Class {one.pressure_class}" if one.pressure_class else one.schedule


def _insertion(pipe: PipePiece, end: int, units: str) -> str:
    inside = pipe.insertion_mm[end]
    return "" if inside is None else show_length(on_a_rule(inside, units), units)


def _mark(pipe: PipePiece, end: int, units: str) -> str:
    """The mark from the pipe's end: an inch beyond the socket's face, with the pipe on the bottom."""
    inside = pipe.insertion_mm[end]
    if inside is None:
        return ""
    depth = inside + pipe.gaps_mm[end]
    return show_length(on_a_rule(depth + OFF_THE_FACE_MM[units], units), units)


def _both(ends: Sequence[str]) -> str:
    """What is said of the two ends: once where it is the same."""
    first, second = ends
    if first == second:
        return f"{first}, both ends" if first else ""
    if first and second:
        return f"{first} at the start, {second} at the end"
    return f"{first} at the start" if first else f"{second} at the end"


def _planned_pieces(known: _Known, joints: Sequence[JointRow]) -> tuple[Row, ...]:
    """The pieces that the plan names at the shop joints, where no route tells their lengths."""
    found = dict.fromkeys(
        f"{joint.sheet_id} {mark}"
        for joint in joints
        for mark in (joint.piece_a__mark, joint.piece_b__mark)
        if mark and joint.location == "shop"
    )
    units = known.job.units
    return tuple(
        (
            one.mark,
            fitting_called(one.kind),
            show_pipe_size(one.nps, rating_words(one.schedule, one.pressure_class), units, one.second_nps),
            length_text(one.length_mm, units) if one.length_mm else "",
            "",
            "",
            one.heat.number if one.heat else "",
        )
        for key in found
        if (one := known.pieces.get(key)) is not None
    )


def _joint_row(known: _Known, joint: JointRow) -> tuple[str | Ring, ...]:
    fit_up, weld, examined = known.asked.get(str(joint.id), ("", "", ""))
    kind = joint.kind if joint.location == "shop" else f"{joint.kind}, {joint.location}"
    procedure = joint.procedure__number or ""
    size = show_pipe_size(joint.nps, joint.schedule, known.job.units)
    return joint_ring(joint), joint.number, kind, size, procedure, fit_up, weld, examined


def weight_words(kg: Decimal, units: str) -> str:
    """A weight in the job's unit: whole pounds, or kilograms to a tenth."""
    return f"{kg / LB_IN_KG:.0f} lb" if units == US else f"{kg:.1f} kg"
