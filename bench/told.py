"""Tell joints as the plain facts that the rules judge, of several kinds, sizes, steels and services, without records.

Everything follows from the joint's number. One joint in fifty has a problem, and one in forty-one was rejected,
repaired and accepted after all. Procedures, heats and people are shared, as they are where facts are loaded.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from decimal import Decimal

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
    SpecificationFacts,
    WelderFacts,
)
from rules.pipe import pipe

ONE_IN, REPAIRED_ONE_IN = 50, 41
PROBLEMS = ("gap", "amps", "filler", "leg", "stranger")
D = Decimal
FIRST_DAY, DAYS = date(2024, 3, 4), 120
ROLES = ("root", "fill", "cap")
SMALL = (("1/2", "80"), ("3/4", "80"), ("1", "80"), ("1-1/2", "160"), ("2", "80"))
LARGE = (("2", "40"), ("3", "40"), ("4", "40"), ("6", "40"), ("8", "40"), ("10", "40"), ("12", "40"))
SIZES = {"socket": SMALL, "slip-on": LARGE, "butt": LARGE, "branch": LARGE, "olet": SMALL}
KINDS = tuple(SIZES)
SERVICES = (("Normal", False), ("Category D", False), ("Normal", True))
SHARES = (("VT", D(100)), ("RT", D(10)))
SIXTEENTH = D("1.5875")
HEATS, WELDERS = 200, 20
STRANGER = "Z99"
# Each steel with its P-Number, filler and the filler's F-Number, and an analysis within its limits.
STEELS = {
    "A106 Gr. B": ("1", "ER70S-6", {"C": "0.19", "Mn": "0.85", "P": "0.012", "S": "0.008", "Si": "0.24"}),
    "A312 TP316L": ("8", "ER316L", {"C": "0.02", "Mn": "1.4", "P": "0.03", "S": "0.01", "Si": "0.5", "Cr": "16.8",
                                    "Ni": "11.2", "Mo": "2.1"}),
}  # fmt: skip
JOB = JobFacts(
    code="TOLD", units="US", construction_code="ASME B31.3", edition="2018", recording="parameters",
    as_of=date(2024, 7, 1),
    specification=(
        SpecificationFacts("gap max", 2 * SIXTEENTH, "PS-1", "4.2"),
        SpecificationFacts("leg min", 2 * SIXTEENTH, "PS-1", "4.5", joint_kind="socket"),
        SpecificationFacts("undercut max", D("0.5"), "PS-1", "4.6", service="Severe cyclic"),
        SpecificationFacts("interpass max", D(150), "PS-1", "5.1"),
    ),
)  # fmt: skip


@dataclass
class Papers:
    """What joints share: procedures by kind and steel, heats by steel, exam rules and materials."""

    procedures: dict[tuple[str, str], ProcedureFacts] = field(default_factory=dict)
    heats: dict[str, list[HeatFacts]] = field(default_factory=dict)
    materials: dict[str, MaterialFacts] = field(default_factory=dict)
    exam_rules: tuple[ExamRuleFacts, ...] = tuple(ExamRuleFacts("Plan", method, share) for method, share in SHARES)


def papers() -> Papers:
    """The papers of the job."""
    found = Papers()
    for steel, (p_number, filler, analysis) in STEELS.items():
        elements = {name: D(share) for name, share in analysis.items()}
        found.materials[steel] = MaterialFacts(steel, p_number)
        found.heats[steel] = [
            HeatFacts(f"H{p_number}-{number:04}", steel, f"C{number:04}", elements=elements) for number in range(HEATS)
        ]
        for number, kind in enumerate(KINDS):
            found.procedures[kind, steel] = _procedure(f"W-{p_number}{number}", kind, p_number, filler)
    return found


def batches(count: int, size: int) -> Iterator[list[JointFacts]]:
    """Tell `count` joints, `size` at a time."""
    shared = papers()
    for start in range(0, count, size):
        yield [_joint(shared, index) for index in range(start, min(start + size, count))]


def people() -> People:
    """The welders and examiners of the job, and none for the stranger's stamp."""
    return People(_welders(), _examiners())


def _procedure(number: str, kind: str, p_number: str, filler: str) -> ProcedureFacts:
    rows = [
        ProcedurePassFacts(role, "GTAW", filler, f_number="6", amps_min=D(70), amps_max=D(130), volts_min=D(9),
                           volts_max=D(16))
        for role in ROLES
    ]  # fmt: skip
    return ProcedureFacts(
        number=number, revision="0", p_numbers=(p_number,), p_numbers_b=(), processes=("GTAW",), passes=tuple(rows),
        joint_kinds=(kind,), thickness_min_mm=SIXTEENTH, thickness_max_mm=D("12.7"), positions=("all",),
        gap_min_mm=SIXTEENTH / 2, gap_max_mm=2 * SIXTEENTH, squareness_max_mm=SIXTEENTH, high_low_max_mm=SIXTEENTH,
        passes_min=3, stop_spacing_min_degrees=D(30), preheat_min_c=D(10), interpass_max_c=D(175),
        heat_input_max_kj_mm=D(3),
    )  # fmt: skip


def _welders() -> dict[str, WelderFacts]:
    tested = FIRST_DAY - timedelta(days=20)
    days = [tested, *(FIRST_DAY + timedelta(days=day) for day in range(DAYS))]
    test = QualificationFacts(
        wpq="Q-1", process="GTAW", tested_on=tested, p_number="1", f_number="6", positions=("6G",), coupon="pipe",
        coupon_diameter_mm=D("21.336"), deposit_mm=D("13.5"), layers=5, backing="no",
    )  # fmt: skip
    stamps = [f"A{number}" for number in range(WELDERS)]
    return {stamp: WelderFacts(stamp, f"Welder {stamp}", None, None, (test,), {"GTAW": days}) for stamp in stamps}


def _examiners() -> dict[tuple[str, str], ExaminerFacts]:
    return {("Examiner 1", method): ExaminerFacts("Examiner 1", method, "II", None) for method, _ in SHARES}


def _joint(shared: Papers, index: int) -> JointFacts:
    kind, steel = KINDS[index % len(KINDS)], tuple(STEELS)[index // 7 % len(STEELS)]
    nps, schedule = SIZES[kind][index // 3 % len(SIZES[kind])]
    size, heats = pipe(nps, schedule), shared.heats[steel]
    service, severe_cyclic = SERVICES[index // 11 % len(SERVICES)]
    problem = PROBLEMS[index // ONE_IN % len(PROBLEMS)] if index % ONE_IN == ONE_IN - 5 else ""
    joint = JointFacts(
        key=f"ISO-{index // 25:05}/1/{index % 25 + 1}", kind=kind, location="field" if index % 3 else "shop", nps=nps,
        schedule=schedule, od_mm=size.od("US"), wall_mm=size.wall("US"), service=service, severe_cyclic=severe_cyclic,
        revision="1", socket_class="3000" if kind in ("socket", "olet") else "", position=("2G", "5G", "6G")[index % 3],
        procedure=shared.procedures[kind, steel], heat_a=heats[index % HEATS], heat_b=heats[(index + 9) % HEATS],
        material_a=shared.materials[steel], material_b=shared.materials[steel], has_exam_plan=True,
        exam_rules=shared.exam_rules,
    )  # fmt: skip
    _record(joint, index, STEELS[steel][1], problem)
    return joint


def _record(joint: JointFacts, index: int, filler: str, problem: str) -> None:
    """Fitted, welded, examined and released; every so many are rejected and repaired in between."""
    day = FIRST_DAY + timedelta(days=index % DAYS)
    stamp, key = f"A{index % WELDERS}", f"{index}"
    assert joint.heat_a and joint.heat_b
    joint.fit_ups = [
        FitUpFacts(
            id=f"{key}-f", attempt="0", done_on=day, done_at=_at(day, 7), by="Fitter",
            gap_mm=4 * SIXTEENTH if problem == "gap" else SIXTEENTH, squareness_mm=SIXTEENTH / 2,
            high_low_mm=SIXTEENTH / 2, tack_stamp=stamp, heat_a_read=joint.heat_a.number,
            heat_b_read=joint.heat_b.number, revision="1",
        )
    ]  # fmt: skip
    joint.passes = _passes("0", day, stamp, filler, index, problem)
    joint.examinations = [_examination("0", day, f"{key}-v", problem, index)]
    attempt = "0"
    if index % REPAIRED_ONE_IN == 0 and not problem:
        joint.examinations.append(_examination("0", day, f"{key}-r", "rejected", index, "RT"))
        joint.repairs = [RepairFacts(f"{key}-d", "0", "repair", day, _at(day, 16), "Engineer")]
        attempt, day = "R1", day + timedelta(days=1)
        joint.passes += _passes(attempt, day, stamp, filler, index, "")
        joint.examinations += [
            _examination(attempt, day, f"{key}-w", "", index),
            _examination(attempt, day, f"{key}-s", "", index, "RT"),
        ]
    joint.releases = [ReleaseFacts(f"{key}-z", attempt, day, _at(day, 17), "Inspector")]


def _passes(attempt: str, day: date, stamp: str, filler: str, index: int, problem: str) -> list[PassFacts]:
    """Root, fill and cap all round; the cap of every fourth joint in two halves from 6 to 12 o'clock."""
    found = []
    for place, role in enumerate(ROLES):
        halves = role == "cap" and index % 4 == 0
        for start, stop in ((180, 0), (0, 180)) if halves else ((place * 90, place * 90),):
            found.append(
                PassFacts(
                    id=f"{index}-{attempt}-{role}-{start}", attempt=attempt, order=place + 1, role=role,
                    stamp=STRANGER if problem == "stranger" and role == "cap" else stamp, process="GTAW", done_on=day,
                    done_at=_at(day, 8 + place), procedure=None, filler_lot="L-1",
                    filler_classification="E7018" if problem == "filler" and role == "root" else filler,
                    amps=D(190) if problem == "amps" and role == "root" else D(85 + index % 37), volts=D(12),
                    travel_mm_min=D(95 + index % 11), preheat_c=D(20), interpass_c=D(90 + index % 7),
                    start_degrees=D(start), stop_degrees=D(stop),
                )
            )  # fmt: skip
    return found


def _examination(attempt: str, day: date, key: str, problem: str, index: int, method: str = "VT") -> ExaminationFacts:
    leg = D(1) if problem == "leg" else D(19 + index % 4)
    return ExaminationFacts(
        id=key, attempt=attempt, method=method, stage="final", done_on=day, done_at=_at(day, 12 + (method == "RT")),
        by="Examiner 1", result="rejected" if problem == "rejected" else "accepted", report=f"{method}-{index // 20}",
        leg_a_mm=leg if method == "VT" else None, leg_b_mm=leg if method == "VT" else None,
        undercut_mm=D(0) if method == "VT" and index % 9 == 0 else None,
        indications="slag at 4" if problem == "rejected" else "",
    )  # fmt: skip


def _at(day: date, hour: int) -> datetime:
    """A time by the clock on the job's site."""
    return datetime(day.year, day.month, day.day, hour)  # noqa: DTZ001


def problems(count: int) -> Sequence[int]:
    """The numbers of the joints that have a problem."""
    return range(ONE_IN - 5, count, ONE_IN)
