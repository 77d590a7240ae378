"""What is known about a joint and the people and papers around it, as plain values for the rules.

Lengths are exact decimals in mm, temperatures in °C, travel in mm/min, heat input in kJ/mm, strengths in MPa, currents
in A, voltages in V. A value that was not recorded is None and is not judged. Lists of records hold only effective ones
(neither replaced nor withdrawn), in the order of their date, then time, then recording. People, papers and the job are
frozen: what the rules worked out for one of them is remembered by its identity.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class SpecificationFacts:
    """One limit of the owner's specification, by its name in `rules.specification.LIMITS`."""

    limit: str
    value: Decimal
    specification: str  # "PS-110", as the engineer typed it
    clause: str  # "6.3"
    mode: str = "tightened"  # tightened: the stricter governs; replaced: the owner's does
    joint_kind: str = ""  # empty: every kind; groove: butt, branch and olet
    service: str = ""  # fluid service, or Severe cyclic; empty: every one


@dataclass(frozen=True, slots=True)
class JobFacts:
    """The job's settings that rules depend on, and the day to judge on."""

    code: str
    units: str  # US or SI
    construction_code: str  # "B31.3"
    edition: str
    recording: str  # joint, pass, parameters
    as_of: date
    repairs_max: int | None = None  # job's own limit; no code limits it
    specification: tuple[SpecificationFacts, ...] = ()  # the owner's limits; withdrawn ones are left out
    welders_edition: str = ""  # of BPVC Section IX: older, 2010 or current; empty: the job names none
    certificates_rounding: str = ""  # of certificates: rounded or reported; empty: the job names none, rounded
    certificates_edition: str = ""  # of material specifications: older or newer; empty: the job names none, newer
    confirmed: frozenset[tuple[str, str]] | None = None  # (table, row key); None: the job does not demand confirmation


@dataclass(frozen=True, slots=True)
class MaterialFacts:
    """A base metal as the job names it."""

    name: str
    p_number: str
    group: str = ""


@dataclass(frozen=True, slots=True)
class HeatFacts:
    """A heat with what its certificate says; `elements` maps C, Mn, ... to weight percent."""

    number: str
    material: str
    certificate: str
    analysis: str = "heat"
    elements: Mapping[str, Decimal] = field(default_factory=dict)
    tensile_mpa: Decimal | None = None
    yield_mpa: Decimal | None = None
    elongation_percent: Decimal | None = None
    hardness: Decimal | None = None


@dataclass(frozen=True, slots=True)
class ProcedurePassFacts:
    """One row of a procedure's pass table."""

    role: str  # root, hot, fill, cap
    process: str
    filler: str
    filler_diameter_mm: Decimal | None = None
    f_number: str = ""
    polarity: str = ""
    shielding_gas: str = ""
    amps_min: Decimal | None = None
    amps_max: Decimal | None = None
    volts_min: Decimal | None = None
    volts_max: Decimal | None = None
    travel_min: Decimal | None = None
    travel_max: Decimal | None = None


@dataclass(frozen=True, slots=True)
class ProcedureFacts:
    """A welding procedure specification; empty sequences mean no restriction."""

    number: str
    revision: str
    p_numbers: Sequence[str]
    p_numbers_b: Sequence[str]  # empty: the same as p_numbers
    processes: Sequence[str]
    passes: Sequence[ProcedurePassFacts] = ()
    joint_kinds: Sequence[str] = ()
    thickness_min_mm: Decimal | None = None
    thickness_max_mm: Decimal | None = None
    deposit_max_mm: Decimal | None = None
    outside_diameter_min_mm: Decimal | None = None
    positions: Sequence[str] = ()
    progression: str = ""
    backing: str = ""  # yes, no or empty
    preheat_min_c: Decimal | None = None
    interpass_max_c: Decimal | None = None
    heat_input_max_kj_mm: Decimal | None = None
    gap_min_mm: Decimal | None = None
    gap_max_mm: Decimal | None = None
    squareness_max_mm: Decimal | None = None
    high_low_max_mm: Decimal | None = None
    passes_min: int | None = None
    stop_spacing_min_degrees: Decimal | None = None
    pwht: str = ""


@dataclass(frozen=True, slots=True)
class QualificationFacts:
    """One performance qualification (WPQ) as tested."""

    wpq: str
    process: str
    tested_on: date
    p_number: str
    f_number: str
    positions: Sequence[str]  # test positions of the coupons, for example 2G and 5G
    coupon: str  # pipe or plate
    coupon_diameter_mm: Decimal | None
    deposit_mm: Decimal
    weld: str = "groove"  # groove or fillet
    layers: int | None = None
    backing: str = ""  # yes, no
    transfer: str = ""
    progression: str = ""
    operation: str = "manual"
    status: str = "active"  # active, suspended, revoked
    status_on: date | None = None


@dataclass(frozen=True, slots=True)
class WelderFacts:
    """A welder by stamp: qualifications and the days each process was used (tests, continuity entries and passes)."""

    stamp: str
    name: str
    stamp_from: date | None
    stamp_to: date | None
    qualifications: Sequence[QualificationFacts]
    used: Mapping[str, Sequence[date]]  # process -> days, ascending
    known: bool = True  # False: a stamp nobody has registered


@dataclass(frozen=True, slots=True)
class ExaminerFacts:
    """A person certified for an examination method."""

    name: str
    method: str
    level: str
    valid_until: date | None


@dataclass(frozen=True, slots=True)
class ExamRuleFacts:
    """One line of the exam plan that applies to a joint."""

    plan: str
    method: str
    share_percent: Decimal
    acceptance: str = ""
    stage: str = "final"  # final, or another stage by its name
    asked_by: str = ""  # the owner's specification, where the share is the owner's
    lot: str = ""  # what its lots go by, where it asks a share of each: "line", "at most 20 welds"


@dataclass(frozen=True, slots=True)
class PointFacts:
    """A hold or witness point that speaks of a joint."""

    id: str
    name: str  # its item in the inspection and test plan: "4.2"
    step: str  # fit-up, root, an examination method, release
    kind: str  # hold, witness
    document: str = ""  # the plan that asks for it, as typed


@dataclass(frozen=True, slots=True)
class PieceEventFacts:
    """One event in the life of a piece; `is_part`: it is the cut that made the piece."""

    id: str
    event: str  # received, on hold, off hold, issued, cut, returned, scrapped, split
    done_on: date
    is_part: bool = False
    mark_transferred: bool | None = None
    place: str = ""
    by: str = ""
    remark: str = ""


@dataclass(frozen=True, slots=True)
class PieceFacts:
    """What speaks against a piece: its open holds, its scrapping, a cut that left it without its mark."""

    mark: str
    holds: tuple[PieceEventFacts, ...] = ()
    scrapped: PieceEventFacts | None = None
    unmarked: PieceEventFacts | None = None


@dataclass(slots=True)
class FitUpFacts:
    """One fit-up as it was found."""

    id: str
    attempt: str
    done_on: date
    done_at: datetime | None
    by: str
    gap_mm: Decimal | None
    gaps_mm: Mapping[str, Decimal] = field(default_factory=dict)  # clock position 12, 3, 6, 9 -> gap
    squareness_mm: Decimal | None = None
    high_low_mm: Decimal | None = None
    tack_stamp: str = ""
    heat_a_read: str = ""
    heat_b_read: str = ""
    revision: str = ""
    heat_a: HeatFacts | None = None  # the heat of the number read, where the job knows it
    heat_b: HeatFacts | None = None


@dataclass(slots=True)
class PassFacts:
    """One segment of a pass: one welder, one start, one stop."""

    id: str
    attempt: str
    order: int
    role: str  # root, hot, fill, cap
    stamp: str
    process: str
    done_on: date
    done_at: datetime | None
    procedure: (
        ProcedureFacts | None
    )  # the procedure it was made under (a weld log row may name another); else the joint's
    filler_lot: str = ""
    filler_classification: str = ""  # of the lot
    filler_diameter_mm: Decimal | None = None  # of the lot
    amps: Decimal | None = None
    volts: Decimal | None = None
    travel_mm_min: Decimal | None = None
    length_mm: Decimal | None = None
    arc_time_s: Decimal | None = None
    preheat_c: Decimal | None = None
    interpass_c: Decimal | None = None
    position: str = ""
    start_degrees: Decimal | None = None  # 0 at 12 o'clock, clockwise seen in the direction of flow
    stop_degrees: Decimal | None = None
    lot_was_issued: bool | None = None  # to this stamp by this day; None: the job keeps no issue records


@dataclass(slots=True)
class ExaminationFacts:
    """One examination with the examiner's verdict."""

    id: str
    attempt: str
    method: str  # VT, RT, PT, MT, UT, PMI, ...
    stage: str
    done_on: date
    done_at: datetime | None
    by: str
    result: str  # accepted, rejected, re-shoot
    report: str = ""
    leg_a_mm: Decimal | None = None
    leg_b_mm: Decimal | None = None
    undercut_mm: Decimal | None = None
    gap_on_film_mm: Decimal | None = None
    indications: str = ""


@dataclass(slots=True)
class RepairFacts:
    """A decision on a rejected attempt; it opens the next one."""

    id: str
    attempt: str
    decision: str  # repair, cut-out
    done_on: date
    done_at: datetime | None
    by: str
    reason: str = ""
    piece_scrapped: str = ""  # as recorded
    scrapped: frozenset[str] | None = None  # the sides, A and B, whose piece went; None: not told


@dataclass(slots=True)
class ReleaseFacts:
    """A signature that the joint may go on."""

    id: str
    attempt: str
    done_on: date
    done_at: datetime | None
    by: str


@dataclass(slots=True)
class AttendanceFacts:
    """What the owner's inspector did about a point."""

    id: str
    attempt: str
    point: str  # its id
    result: str  # notified, attended, waived
    done_on: date
    done_at: datetime | None
    by: str


@dataclass(slots=True)
class JointFacts:
    """One joint with everything that was recorded on it."""

    key: str  # drawing/sheet/number
    kind: str
    location: str
    nps: str
    schedule: str
    od_mm: Decimal
    wall_mm: Decimal
    service: str  # fluid service of the line
    severe_cyclic: bool
    revision: str  # current revision of the sheet
    socket_class: str = ""
    position: str = ""
    procedure: ProcedureFacts | None = None
    heat_a: HeatFacts | None = None
    heat_b: HeatFacts | None = None
    in_flange: bool = False  # one of its pieces is a flange
    piece_a: PieceFacts | None = None  # only where something speaks against the piece
    piece_b: PieceFacts | None = None
    material_a: MaterialFacts | None = None
    material_b: MaterialFacts | None = None
    has_exam_plan: bool = False
    exam_rules: Sequence[ExamRuleFacts] = ()
    withdrawn: bool = False
    fit_ups: Sequence[FitUpFacts] = ()
    passes: Sequence[PassFacts] = ()
    examinations: Sequence[ExaminationFacts] = ()
    repairs: Sequence[RepairFacts] = ()
    releases: Sequence[ReleaseFacts] = ()
    points: Sequence[PointFacts] = ()
    attendances: Sequence[AttendanceFacts] = ()
    picked: frozenset[tuple[str, str]] = frozenset()  # (method, stage) it was picked for, where its plan asks a share


@dataclass(slots=True)
class People:
    """Whoever the records of a batch name: welders by stamp, examiners by (name, method)."""

    welders: Mapping[str, WelderFacts]
    examiners: Mapping[tuple[str, str], ExaminerFacts]
