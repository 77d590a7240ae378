"""Load what is known about joints as the plain facts that the rules judge, in a constant number of queries."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date
from functools import cache
from typing import Any
from uuid import UUID

from django.db.models import F, QuerySet

from records.kept import Kept, order_of
from records.lookups import Keys
from records.models import (
    Attendance,
    Examination,
    FitUp,
    Job,
    Joint,
    Override,
    Pass,
    Pick,
    Release,
    RepairDecision,
    Withdrawal,
)
from records.models.base import JointRecord
from records.papers import Library, job_facts, welder_facts
from records.reasons import own_reasons
from records.standing import corrected, standing_on
from rules.facts import (
    AttendanceFacts,
    ExaminationFacts,
    FitUpFacts,
    JointFacts,
    PassFacts,
    ReleaseFacts,
    RepairFacts,
)
from rules.fitting_words import is_flange
from rules.reweld import scrapped_sides

__all__ = [
    "Library", "decisions_on", "fact_of", "in_batches", "job_facts", "joint_facts", "welder_facts", "when",
    "withdrawn_ids",
]  # fmt: skip

Row = tuple[Any, ...]
Build = Callable[[Row, Library], Any]

# Every record's first three columns; those after them are what its facts are built from.
COMMON = ("id", "joint_id", "replaces_id", "attempt", "done_on", "done_at", "by")
OF_FIT_UP = (
    *COMMON, "gap_mm", "gap_12_mm", "gap_3_mm", "gap_6_mm", "gap_9_mm", "squareness_mm", "high_low_mm",
    "tack_stamp_id", "heat_a_read", "heat_b_read", "revision",
)  # fmt: skip
OF_PASS = (
    *COMMON, "order", "role", "stamp_id", "process", "procedure_id", "filler_lot_id", "amps", "volts", "travel_mm_min",
    "length_mm", "arc_time_s", "preheat_c", "interpass_c", "position", "start_degrees", "stop_degrees",
)  # fmt: skip
OF_EXAMINATION = (
    *COMMON, "method", "stage", "result", "report", "leg_a_mm", "leg_b_mm", "undercut_mm", "gap_on_film_mm",
    "indications",
)  # fmt: skip
OF_ATTENDANCE = (*COMMON, "point_id", "result")
OF_REPAIR = (*COMMON, "decision", "reason", "piece_scrapped")
# What is read of each kind of record.
COLUMNS: dict[type[JointRecord], Sequence[str]] = {
    FitUp: OF_FIT_UP, Pass: OF_PASS, Examination: OF_EXAMINATION, RepairDecision: OF_REPAIR, Release: COMMON,
    Attendance: OF_ATTENDANCE,
}  # fmt: skip
OF_JOINT = (
    "id", "sheet__drawing", "sheet__number", "number", "kind", "location", "nps", "schedule", "od_mm", "wall_mm",
    "line__fluid_service", "line__severe_cyclic", "sheet__revision", "socket_class", "position", "procedure_id",
    "heat_a_id", "heat_b_id", "piece_a_id", "piece_b_id", "material_a", "material_b", "line__exam_plan_id",
    "line_id", "line__piping_class", "piece_a__kind", "piece_b__kind",
)  # fmt: skip


# What can only follow what at one and the same minute; anything else comes first.
SEQUENCE = {FitUp: 1, Pass: 2, Examination: 3, RepairDecision: 4, Override: 5, Release: 6}


def when(row: JointRecord) -> tuple[date, str, int, int, str]:
    """Order records by day, time where both know it, kind, a pass's order, then by when they were recorded."""
    time = row.done_at.isoformat() if row.done_at else ""
    return row.done_on, time, SEQUENCE.get(type(row), 0), getattr(row, "order", 0), row.recorded_at.isoformat()


def withdrawn_ids(joint_ids: Iterable[UUID]) -> set[UUID]:
    """Return the ids of everything withdrawn on these joints, the joints themselves included; one query."""
    return set(Withdrawal.objects.filter(joint_id__among=Keys(joint_ids)).values_list("record", flat=True))


def joint_facts(
    library: Library,
    joint_ids: Sequence[UUID],
    *,
    gone: set[UUID] | None = None,
    kept: Kept | None = None,
    rows: Iterable[Row] | None = None,
) -> dict[UUID, JointFacts]:
    """Load joints with everything that stands recorded on them; seven queries, and the library's once.

    One more where a plan names lots, and where points are planned.

    joint_ids  at most some thousands: one batch
    gone       what is withdrawn on them, where the caller knows it already: one query less
    kept       all their records, where they were written in this batch: five queries less
    rows       OF_JOINT of each, where the caller knows it already: one query less
    """
    keys = Keys(joint_ids)
    if gone is None:
        gone = withdrawn_ids(keys)
    fit_ups = _standing(FitUp, _fit_up, library, keys, gone, kept)
    passes = _standing(Pass, _pass, library, keys, gone, kept)
    examinations = _standing(Examination, _examination, library, keys, gone, kept)
    repairs = _standing(RepairDecision, _repair, library, keys, gone, kept)
    _tell_scrapped(repairs)
    releases = _standing(Release, _release, library, keys, gone, kept)
    picks = _picks(keys, gone, library.until) if library.lot_rules else {}
    attended: dict[UUID, list[Any]] = {}
    if library.points:
        attended = _standing(Attendance, _attendance, library, keys, gone, kept)
    nothing: tuple[Any, ...] = ()
    unpicked: frozenset[tuple[str, str]] = frozenset()
    found = {}
    if rows is None:
        rows = Joint.objects.filter(id__among=keys).values_list(*OF_JOINT)
    for row in rows:
        joint = found[row[0]] = _joint(row, library)
        joint.withdrawn = row[0] in gone
        joint.fit_ups = fit_ups.get(row[0], nothing)
        joint.passes = passes.get(row[0], nothing)
        joint.examinations = examinations.get(row[0], nothing)
        joint.repairs = repairs.get(row[0], nothing)
        joint.releases = releases.get(row[0], nothing)
        joint.picked = picks.get(row[0], unpicked)
        joint.attendances = attended.get(row[0], nothing)
    return found


def _standing(
    model: type[JointRecord],
    build: Build,
    library: Library,
    keys: Keys,
    gone: set[UUID],
    kept: Kept | None = None,
) -> dict[UUID, list[Any]]:
    """The facts of records by joint that were neither replaced nor withdrawn, in the order of `when`."""
    rows = _read(model, keys) if kept is None else kept.rows(model, keys)
    if model is RepairDecision:
        rows = _with_own_reasons(rows)
    if library.until == date.max:
        over = {row[2] for row in rows if row[2] is not None} | gone
    else:
        over = corrected(((row[0], row[2], row[4]) for row in rows), library.until, gone)
        rows = [row for row in rows if row[4] <= library.until]
    found: dict[UUID, list[Any]] = defaultdict(list)
    for row in rows:
        if not over or row[0] not in over:
            found[row[1]].append(build(row, library))
    return found


def _with_own_reasons(rows: Sequence[Row]) -> list[Row]:
    """The rows of decisions with the reason of each itself in place of why it was corrected."""
    at = OF_REPAIR.index("reason")
    own = own_reasons([(row[0], row[2], row[at]) for row in rows])
    return [(*row[:at], own[row[0]], *row[at + 1 :]) for row in rows]


def _read(model: type[JointRecord], keys: Keys) -> list[Row]:
    """The rows as tuples: making a model instance of each would cost more than all the rules together."""
    return list(_rows_of(model).filter(joint_id__among=keys))


@cache
def _rows_of(model: type[JointRecord]) -> QuerySet[Any, Row]:
    """The query of a kind's columns in the order of `when`, put together once: every joint is asked for with it."""
    order = [F(name).asc(nulls_first=True) if name == "done_at" else name for name in order_of(model)]
    return model._default_manager.order_by(*order).values_list(*COLUMNS[model])


def _picks(keys: Keys, gone: set[UUID], until: date) -> dict[UUID, frozenset[tuple[str, str]]]:
    """The methods and stages that joints are picked for up to a day; one query."""
    rows = standing_on(Pick.objects.filter(joint_id__among=keys), until, gone).order_by()
    found: dict[UUID, set[tuple[str, str]]] = defaultdict(set)
    for key, joint, method, stage in rows.values_list("id", "joint_id", "method", "stage"):
        if key not in gone:
            found[joint].add((method, stage or "final"))
    return {joint: frozenset(some) for joint, some in found.items()}


def _joint(row: Row, library: Library) -> JointFacts:
    (
        _, drawing, sheet, number, kind, location, nps, schedule, od_mm, wall_mm, service, severe_cyclic, revision,
        socket_class, position, procedure, heat_a, heat_b, piece_a, piece_b, material_a, material_b, plan,
        line, piping_class, kind_a, kind_b,
    ) = row  # fmt: skip
    return JointFacts(
        key=f"{drawing}/{sheet}/{number}",
        kind=kind,
        location=location,
        nps=nps,
        schedule=schedule,
        od_mm=od_mm,
        wall_mm=wall_mm,
        service=service,
        severe_cyclic=severe_cyclic,
        revision=revision,
        socket_class=socket_class,
        position=position,
        procedure=library.procedures.get(procedure) if procedure else None,
        heat_a=library.heat(heat_a),
        heat_b=library.heat(heat_b),
        in_flange=is_flange(kind_a or "") or is_flange(kind_b or ""),
        piece_a=library.piece_troubles.get(piece_a) if piece_a else None,
        piece_b=library.piece_troubles.get(piece_b) if piece_b else None,
        material_a=library.material(material_a),
        material_b=library.material(material_b),
        has_exam_plan=plan is not None,
        exam_rules=library.rules_for(plan, kind, nps),
        points=library.points_for(line, piping_class, kind),
    )


def _fit_up(row: Row, library: Library) -> FitUpFacts:
    (
        key, _, _, attempt, done_on, done_at, by, gap_mm, gap_12_mm, gap_3_mm, gap_6_mm, gap_9_mm, squareness_mm,
        high_low_mm, tack_stamp, heat_a_read, heat_b_read, revision,
    ) = row  # fmt: skip
    gaps = (("12", gap_12_mm), ("3", gap_3_mm), ("6", gap_6_mm), ("9", gap_9_mm))
    return FitUpFacts(
        id=str(key),
        attempt=attempt,
        done_on=done_on,
        done_at=library.on_site(done_at),
        by=by,
        gap_mm=gap_mm,
        gaps_mm={clock: gap for clock, gap in gaps if gap is not None},
        squareness_mm=squareness_mm,
        high_low_mm=high_low_mm,
        tack_stamp=library.stamps.get(tack_stamp, "") if tack_stamp else "",
        heat_a_read=heat_a_read,
        heat_b_read=heat_b_read,
        revision=revision,
        heat_a=library.heat_read(heat_a_read),
        heat_b=library.heat_read(heat_b_read),
    )


def _pass(row: Row, library: Library) -> PassFacts:
    (
        key, _, _, attempt, done_on, done_at, _, order, role, stamp, process, procedure, filler_lot, amps, volts,
        travel_mm_min, length_mm, arc_time_s, preheat_c, interpass_c, position, start_degrees, stop_degrees,
    ) = row  # fmt: skip
    lot, classification, diameter = library.filler_lot(filler_lot)
    return PassFacts(
        id=str(key),
        attempt=attempt,
        order=order,
        role=role,
        stamp=library.stamps[stamp],
        process=process,
        done_on=done_on,
        done_at=library.on_site(done_at),
        procedure=library.procedures.get(procedure) if procedure else None,
        filler_lot=lot,
        filler_classification=classification,
        filler_diameter_mm=diameter,
        amps=amps,
        volts=volts,
        travel_mm_min=travel_mm_min,
        length_mm=length_mm,
        arc_time_s=arc_time_s,
        preheat_c=preheat_c,
        interpass_c=interpass_c,
        position=position,
        start_degrees=start_degrees,
        stop_degrees=stop_degrees,
        lot_was_issued=library.was_issued(stamp, filler_lot, done_on),
    )


def _examination(row: Row, library: Library) -> ExaminationFacts:
    (
        key, _, _, attempt, done_on, done_at, by, method, stage, result, report, leg_a_mm, leg_b_mm, undercut_mm,
        gap_on_film_mm, indications,
    ) = row  # fmt: skip
    return ExaminationFacts(
        id=str(key),
        attempt=attempt,
        method=method,
        stage=stage,
        done_on=done_on,
        done_at=library.on_site(done_at),
        by=by,
        result=result,
        report=report,
        leg_a_mm=leg_a_mm,
        leg_b_mm=leg_b_mm,
        undercut_mm=undercut_mm,
        gap_on_film_mm=gap_on_film_mm,
        indications=indications,
    )


def _attendance(row: Row, library: Library) -> AttendanceFacts:
    key, _, _, attempt, done_on, done_at, by, point, result = row
    return AttendanceFacts(str(key), attempt, point.hex, result, done_on, library.on_site(done_at), by)


def _repair(row: Row, library: Library) -> RepairFacts:
    key, _, _, attempt, done_on, done_at, by, decision, reason, scrapped = row
    return RepairFacts(str(key), attempt, decision, done_on, library.on_site(done_at), by, reason, scrapped)


def _tell_scrapped(repairs: Mapping[UUID, Sequence[RepairFacts]]) -> None:
    """Find the sides whose piece went, where a decision names a piece; one query where any does."""
    naming = {joint: [one for one in rows if one.piece_scrapped] for joint, rows in repairs.items()}
    wanted = [joint for joint, rows in naming.items() if rows]
    if not wanted:
        return
    rows = Joint.objects.filter(id__among=Keys(wanted)).values_list("id", "piece_a__mark", "piece_b__mark")
    for joint, mark_a, mark_b in rows:
        for one in naming[joint]:
            one.scrapped = scrapped_sides(one.piece_scrapped, mark_a or "", mark_b or "")


def decisions_on(job: Job, joint_id: UUID) -> list[RepairFacts]:
    """Return the decisions that stand on a joint, in order; three queries."""
    keys = Keys([joint_id])
    found = _standing(RepairDecision, _repair, Library(job), keys, withdrawn_ids(keys))
    _tell_scrapped(found)
    return found.get(joint_id, [])


def _release(row: Row, library: Library) -> ReleaseFacts:
    key, _, _, attempt, done_on, done_at, by = row
    return ReleaseFacts(str(key), attempt, done_on, library.on_site(done_at), by)


def fact_of(draft: JointRecord, library: Library) -> Any:
    """The facts of one fit-up, pass or examination, stored or not."""
    columns, build = _BUILT[type(draft)]
    return build(tuple(getattr(draft, name) for name in columns), library)


_BUILT: dict[type[JointRecord], tuple[Sequence[str], Build]] = {
    FitUp: (OF_FIT_UP, _fit_up),
    Pass: (OF_PASS, _pass),
    Examination: (OF_EXAMINATION, _examination),
}


def in_batches(keys: Sequence[UUID], size: int = 2000) -> Iterable[list[UUID]]:
    """Cut a list of keys into batches of at most `size`."""
    return (list(keys[start : start + size]) for start in range(0, len(keys), size))
