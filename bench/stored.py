"""Put the story of a job straight into the database, for measures of what happens afterwards.

The journal is left out: nothing that is measured here reads it.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from itertools import islice

from django.db import transaction
from django.utils import timezone

from bench import story
from bench.story import JointStory
from records import bulk
from records.models import (
    Certificate,
    FillerLot,
    FitUp,
    Heat,
    Job,
    Joint,
    Line,
    Membership,
    Pass,
    Procedure,
    ProcedurePass,
    Qualification,
    Sheet,
    Stamp,
    User,
    Welder,
)
from rules.pipe import pipe

BATCH = 5_000
TESTED = story.FIRST_DAY - timedelta(days=20)
MM = {text: Decimal(25_400) * top / bottom / 1000 for text, top, bottom in (
    ("1/32", 1, 32), ("1/16", 1, 16), ("3/32", 3, 32), ("1/8", 1, 8), ("5/32", 5, 32), ("1/4", 1, 4), ("1/2", 1, 2),
)}  # fmt: skip
ANALYSIS = {
    "C": "0.19", "Mn": "0.85", "P": "0.012", "S": "0.008", "Si": "0.24", "Cr": "0.06", "Cu": "0.1", "Mo": "0.02",
    "Ni": "0.06", "V": "0.003",
}  # fmt: skip
DEGREES = {"12": Decimal(0), "3": Decimal(90), "6": Decimal(180)}


@dataclass
class Stored:
    """The job as it stands in the database, with its papers by number."""

    job: Job
    engineer: User
    procedures: dict[str, Procedure] = field(default_factory=dict)
    stamps: dict[str, Stamp] = field(default_factory=dict)
    heats: dict[str, Heat] = field(default_factory=dict)
    lots: dict[str, FillerLot] = field(default_factory=dict)
    lines: dict[str, Line] = field(default_factory=dict)
    sheets: dict[tuple[str, str], Sheet] = field(default_factory=dict)


@transaction.atomic
def store(code: str, *, joints: int, lines: int, done: int = 100) -> Stored:
    """Make a job of that many joints, not judged yet, and an engineer who signs in as the job's code.

    done  percent of the joints that are fitted and welded; the others are only planned
    """
    engineer = User.objects.create_user(code.lower())
    job = Job.objects.create(code=code, name="Invented job of the benchmarks", recording="parameters")
    Membership.objects.create(job=job, user=engineer, role="engineer")
    stored = Stored(job, engineer)
    _papers(stored)
    told = story.joints(joints, lines)
    while batch := list(islice(told, BATCH)):
        _joints(stored, batch, done)
    return stored


def _papers(stored: Stored) -> None:
    job = stored.job
    limits = {"p_numbers": ["1"], "thickness_min_mm": MM["1/16"], "thickness_max_mm": MM["1/2"], "positions": ["all"]}
    fit = {"passes_min": 3, "stop_spacing_min_degrees": Decimal(30)}
    for one in (
        Procedure(job=job, number="W-1", revision="0", processes=["GTAW"], joint_kinds=["socket"], **limits, **fit,
                  gap_min_mm=MM["1/32"], gap_max_mm=MM["1/8"], squareness_max_mm=MM["1/16"]),
        Procedure(job=job, number="W-2", revision="0", processes=["GTAW", "SMAW"], joint_kinds=["butt"], **limits,
                  **fit, gap_min_mm=MM["3/32"], gap_max_mm=MM["5/32"], high_low_max_mm=MM["1/16"]),
    ):  # fmt: skip
        stored.procedures[one.number] = one
    for lot, classification in (("W-1", "ER70S-6"), ("R-1", "E7018")):
        stored.lots[lot] = FillerLot(job=job, number=lot, classification=classification, diameter_mm=MM["3/32"])
    for row in (*stored.procedures.values(), *stored.lots.values()):
        row.save(force_insert=True)
    ProcedurePass.objects.bulk_create(_procedure_passes(stored))
    _welders(stored)
    _heats(stored)


def _procedure_passes(stored: Stored) -> Iterable[ProcedurePass]:
    for number, procedure in stored.procedures.items():
        for role in story.PASS_ROLES:
            by_rod = number == "W-2" and role != "root"
            process, filler, f_number = ("SMAW", "E7018", "4") if by_rod else ("GTAW", "ER70S-6", "6")
            yield ProcedurePass(
                job=stored.job, procedure=procedure, role=role, process=process, filler=filler, f_number=f_number,
                filler_diameter_mm=MM["3/32"], amps_min=Decimal(70), amps_max=Decimal(130),
            )  # fmt: skip


def _welders(stored: Stored) -> None:
    job = stored.job
    for code in story.stamps():
        welder = Welder.objects.create(job=job, name=f"Welder {code}")
        stamp = stored.stamps[code] = Stamp.objects.create(job=job, welder=welder, code=code)
        if code == story.STRANGER:
            continue
        test = {"job": job, "stamp": stamp, "tested_on": TESTED, "p_number": "1", "positions": ["6G"], "coupon": "pipe",
                "deposit_mm": Decimal("7.112"), "layers": 3}  # fmt: skip
        small, large = Decimal("21.336"), Decimal("60.325")
        Qualification.objects.bulk_create([
            Qualification(
                **test, wpq=f"{code}-G", process="GTAW", f_number="6", coupon_diameter_mm=small, backing="no"
            ),
            Qualification(
                **test, wpq=f"{code}-S", process="SMAW", f_number="4", coupon_diameter_mm=large, backing="yes"
            ),
        ])  # fmt: skip


def _heats(stored: Stored) -> None:
    for letter, material in (("P", "A106 Gr. B"), ("F", "A105"), ("E", "A234 WPB")):
        for number in range(1, story.HEATS + 1):
            heat = f"{letter}-{number:04}"
            paper = Certificate(job=stored.job, number=f"C-{heat}")
            stored.heats[heat] = Heat(
                job=stored.job, number=heat, material=material, certificate=paper, elements=ANALYSIS
            )
    bulk.insert([heat.certificate for heat in stored.heats.values() if heat.certificate])
    bulk.insert(list(stored.heats.values()))


def _joints(stored: Stored, batch: list[JointStory], done: int) -> None:
    job = stored.job
    new_lines = {one.line for one in batch} - stored.lines.keys()
    made = {
        line: Line(job=job, number=line, nps="2", schedule="80", material="A106 Gr. B") for line in sorted(new_lines)
    }
    stored.lines |= made
    bulk.insert(list(made.values()))
    keys = {(one.drawing, one.sheet): one.line for one in batch if (one.drawing, one.sheet) not in stored.sheets}
    sheets = {
        key: Sheet(job=job, line=stored.lines[line], drawing=key[0], number=key[1], revision="1")
        for key, line in keys.items()
    }
    stored.sheets |= sheets
    bulk.insert(list(sheets.values()))
    rows = [_joint(stored, one) for one in batch]
    bulk.insert(rows)
    at = timezone.now()
    welded = [pair for place, pair in enumerate(zip(rows, batch, strict=True)) if place % 100 < done]
    bulk.insert([_fit_up(stored, joint, one, at) for joint, one in welded])
    bulk.insert([row for joint, one in welded for row in _passes(stored, joint, one, at)])


def _joint(stored: Stored, one: JointStory) -> Joint:
    size = pipe(one.nps, one.schedule)
    return Joint(
        job=stored.job, sheet=stored.sheets[one.drawing, one.sheet], line=stored.lines[one.line], number=one.number,
        sort_key=f"{one.drawing} {one.sheet:0>6} {one.number:0>6}", kind=one.kind, location=one.location, nps=one.nps,
        schedule=one.schedule, od_mm=size.od("US"), wall_mm=size.wall("US"), heat_a=stored.heats[one.heat_a],
        heat_b=stored.heats[one.heat_b], material_a="A106 Gr. B", material_b=one.material_b,
        socket_class=one.socket_class, procedure=stored.procedures[one.procedure], position="5G",
    )  # fmt: skip


def _common(stored: Stored, joint: Joint, day: date, at: datetime, recorded_at: datetime) -> dict[str, object]:
    return {
        "job": stored.job, "joint": joint, "done_on": day, "done_at": at, "recorded_by": stored.engineer,
        "recorded_at": recorded_at,
    }  # fmt: skip


def _fit_up(stored: Stored, joint: Joint, told: JointStory, recorded_at: datetime) -> FitUp:
    one = told.fitting
    return FitUp(
        **_common(stored, joint, one.at.date(), one.at.replace(tzinfo=UTC), recorded_at), by=one.by, gap_mm=MM[one.gap],
        squareness_mm=MM[one.squareness] if one.squareness else None,
        high_low_mm=MM[one.high_low] if one.high_low else None, tack_stamp=stored.stamps[one.stamp],
        heat_a_read=told.heat_a, heat_b_read=told.heat_b, revision="1",
    )  # fmt: skip


def _passes(stored: Stored, joint: Joint, told: JointStory, recorded_at: datetime) -> Iterable[Pass]:
    for one in told.weldings:
        place = DEGREES[one.clock]
        yield Pass(
            **_common(stored, joint, one.at.date(), one.at.replace(tzinfo=UTC), recorded_at), by=one.stamp,
            order=one.order, role=one.role, stamp=stored.stamps[one.stamp], process=one.process,
            filler_lot=stored.lots[one.lot], amps=Decimal(one.amps), volts=Decimal(one.volts),
            travel_mm_min=Decimal(one.travel) * Decimal("25.4"), start_degrees=place, stop_degrees=place,
        )  # fmt: skip


def problems(joints: int) -> int:
    """How many joints of the story have a problem, each in one place."""
    return joints // story.ONE_IN
