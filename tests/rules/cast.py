"""A sound joint and the people around it, from which each test changes one thing."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

from rules.facts import (
    ExaminationFacts,
    ExaminerFacts,
    ExamRuleFacts,
    FitUpFacts,
    HeatFacts,
    JobFacts,
    JointFacts,
    MaterialFacts,
    PassFacts,
    People,
    ProcedureFacts,
    ProcedurePassFacts,
    QualificationFacts,
    ReleaseFacts,
    RepairFacts,
    WelderFacts,
)
from rules.finding import Finding
from rules.judge import findings

D = Decimal
AS_OF = date(2026, 6, 1)
TESTED, FITTED, WELDED, EXAMINED = date(2026, 1, 10), date(2026, 3, 2), date(2026, 3, 3), date(2026, 3, 4)
SIXTEENTH, EIGHTH = D("1.5875"), D("3.175")

JOB = JobFacts("J-1", "US", "B31.3", "2018", "pass", AS_OF)
SI_JOB = replace(JOB, units="SI")


def procedure_pass(role: str, **changes: Any) -> ProcedurePassFacts:
    """A GTAW row of 90 to 150 A with ER70S-6."""
    return replace(
        ProcedurePassFacts(role, "GTAW", "ER70S-6", f_number="6", amps_min=D(90), amps_max=D(150)), **changes
    )


PROCEDURE = ProcedureFacts(
    number="W-11",
    revision="1",
    p_numbers=("1",),
    p_numbers_b=(),
    processes=("GTAW",),
    passes=(procedure_pass("root"), procedure_pass("fill"), procedure_pass("cap")),
    joint_kinds=("socket", "butt"),
    gap_min_mm=SIXTEENTH,
    gap_max_mm=EIGHTH,
    squareness_max_mm=SIXTEENTH,
    high_low_max_mm=SIXTEENTH,
    passes_min=2,
    stop_spacing_min_degrees=D(30),
    preheat_min_c=D(10),
    interpass_max_c=D("176.6667"),
    heat_input_max_kj_mm=D("1.5"),
)

CARBON = MaterialFacts("A106 Gr B", "1", "1")
FORGED = MaterialFacts("A105", "1", "2")
CHEMISTRY = {"C": D("0.22"), "Mn": D("0.85"), "P": D("0.012"), "S": D("0.008"), "Si": D("0.25"), "Cr": D("0.05")}


def heat(number: str, material: str, **changes: Any) -> HeatFacts:
    """A heat with a certificate that is in order."""
    return replace(HeatFacts(number, material, f"C-{number}", elements=CHEMISTRY, tensile_mpa=D(490)), **changes)


def qualification(**changes: Any) -> QualificationFacts:
    """A GTAW test in 6G on NPS 2 Schedule 80 without backing."""
    sound = QualificationFacts(
        "Q-1", "GTAW", TESTED, "1", "6", ("6G",), "pipe", D("60.3"), D("5.54"), layers=3, backing="no"
    )
    return replace(sound, **changes)


def welder(stamp: str = "A1", *qualifications: QualificationFacts, **changes: Any) -> WelderFacts:
    """A welder with one sound qualification, unless others are given."""
    held = qualifications or (qualification(),)
    used: dict[str, tuple[date, ...]] = {}
    for one in held:
        used[one.process] = (*used.get(one.process, ()), one.tested_on)
    return replace(WelderFacts(stamp, "Ann Example", None, None, held, used), **changes)


def people(*welders: WelderFacts, examiners: Mapping[tuple[str, str], ExaminerFacts] | None = None) -> People:
    """The welders given (else A1), and an examiner certified for VT and RT."""
    certified = {
        ("Quinn", method): ExaminerFacts("Quinn", method, "II", date(2027, 1, 1)) for method in ("VT", "RT", "PT")
    }
    return People(
        {one.stamp: one for one in welders or (welder(),)}, certified if examiners is None else dict(examiners)
    )


def fit_up(**changes: Any) -> FitUpFacts:
    """A fit-up with 1/8 in gap."""
    return replace(FitUpFacts("f", "0", FITTED, None, "Ann Example", EIGHTH), **changes)


def weld_pass(order: int, role: str, **changes: Any) -> PassFacts:
    """A GTAW pass by A1 at 120 A; starts and stops a third of a turn on from pass to pass."""
    sound = PassFacts(
        id=f"p{order}",
        attempt="0",
        order=order,
        role=role,
        stamp="A1",
        process="GTAW",
        done_on=WELDED,
        done_at=None,
        procedure=None,
        filler_lot="L-1",
        filler_classification="ER70S-6",
        amps=D(120),
        volts=D(12),
        travel_mm_min=D(80),
        preheat_c=D(20),
        interpass_c=D(100),
        start_degrees=D(120) * order % 360,
        stop_degrees=D(120) * order % 360,
    )
    return replace(sound, **changes)


def examination(method: str = "VT", **changes: Any) -> ExaminationFacts:
    """An accepted final examination by Quinn with legs of 1/4 in."""
    sound = ExaminationFacts(f"e-{method}", "0", method, "final", EXAMINED, None, "Quinn", "accepted")
    if changes.get("result") == "rejected":
        changes = {"indications": "as marked on the weld"} | changes
    return replace(sound, **changes)


def repair(decision: str = "repair", **changes: Any) -> RepairFacts:
    """A decision of the day after the examination."""
    return replace(
        RepairFacts(f"d-{decision}", "0", decision, date(2026, 3, 5), None, "Quinn", "Lack of fusion"), **changes
    )


def release(**changes: Any) -> ReleaseFacts:
    """A release the day after the examination."""
    return replace(ReleaseFacts("r", "0", date(2026, 3, 6), None, "Quinn"), **changes)


VT_RULE = ExamRuleFacts("P-1", "VT", D(100))

PASSES = (weld_pass(1, "root"), weld_pass(2, "fill"), weld_pass(3, "cap"))


def planned(**changes: Any) -> JointFacts:
    """A socket joint NPS 1 Schedule 80 in Class 3000 that is only planned."""
    joint = JointFacts(
        key="D-1/1/7",
        kind="socket",
        location="shop",
        nps="1",
        schedule="80",
        od_mm=D("33.4"),
        wall_mm=D("4.55"),
        service="Normal",
        severe_cyclic=False,
        revision="2",
        socket_class="3000",
        procedure=PROCEDURE,
        heat_a=heat("H1", "A106 Gr B"),
        heat_b=heat("H2", "A105"),
        material_a=CARBON,
        material_b=FORGED,
        has_exam_plan=True,
        exam_rules=(VT_RULE,),
    )
    return replace(joint, **changes)


def fitted(**changes: Any) -> JointFacts:
    """The joint with its fit-up."""
    return planned(**{"fit_ups": (fit_up(),)} | changes)


def welded(**changes: Any) -> JointFacts:
    """The joint with its fit-up and three passes."""
    return fitted(**{"passes": PASSES} | changes)


def accepted(**changes: Any) -> JointFacts:
    """The joint welded and accepted by VT."""
    return welded(**{"examinations": (examination(leg_a_mm=D("6.35"), leg_b_mm=D("6.35")),)} | changes)


def released(**changes: Any) -> JointFacts:
    """The joint accepted and released: nothing is left to find."""
    return accepted(**{"releases": (release(),)} | changes)


def butt(**changes: Any) -> JointFacts:
    """A butt joint NPS 4 Schedule 40, welded, accepted and released."""
    sides = {
        "kind": "butt",
        "nps": "4",
        "schedule": "40",
        "od_mm": D("114.3"),
        "wall_mm": D("6.02"),
        "socket_class": "",
    }
    return released(**sides | {"examinations": (examination(),)} | changes)


def codes(joint: JointFacts, **settings: Any) -> list[str]:
    """The codes found on a joint, in order."""
    return [one.code for one in judged(joint, **settings)]


def judged(joint: JointFacts, *, crew: Any = None, job: Any = JOB) -> list[Finding]:
    """The findings on a joint with the usual job and people, unless others are given."""
    return findings(joint, job, crew or people())


def with_pass(number: int, **changes: Any) -> tuple[Any, ...]:
    """The three passes, one of them changed."""
    return tuple(replace(one, **changes) if one.order == number else one for one in PASSES)
