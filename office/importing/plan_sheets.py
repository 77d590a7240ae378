"""The sheets of the plan: the job, its lines, pieces, joints, procedures, people and papers."""

from office.importing import words
from office.importing.cells import as_text
from office.importing.columns import Column, SheetForm, needed, optional, present
from office.importing.parsers import (
    all_or_list,
    current,
    day,
    degrees,
    figure,
    grouping,
    heat_input,
    length,
    nps,
    number_or_none,
    one_of,
    past_day,
    percent,
    position,
    pressure,
    schedule,
    share,
    stress,
    temperature,
    text,
    time_zone,
    transport_envelope,
    travel,
    voltage,
    whole_number,
    yes_no,
    yes_no_word,
)  # fmt: skip
from records.models import (
    ContinuityEntry,
    Examiner,
    ExamRule,
    FillerLot,
    Heat,
    HoldPoint,
    Job,
    Joint,
    Line,
    Material,
    OwnerLimit,
    Piece,
    Procedure,
    ProcedurePass,
    Qualification,
    Sheet,
    Stamp,
)  # fmt: skip
from rules.route.grammar import COLUMNS as ROUTE_COLUMNS

ELEMENTS = ("C", "Mn", "P", "S", "Si", "Cr", "Cu", "Mo", "Ni", "V", "Nb", "Ti", "Al", "B", "N")
_element = figure("%", greatest=100)
_process = one_of(words.PROCESS_NAMES, "welding process")
_method = one_of(words.METHOD_NAMES, "examination method")
_p, _f = grouping("P"), grouping("F")
_progression = one_of(words.PROGRESSIONS, "progression")


def _drawing_and_sheet() -> tuple[Column, Column]:
    return needed("drawing", field=""), needed("sheet", field="")


JOB = SheetForm(
    "Job",
    Job,
    (
        needed("code", field="code"),
        needed("name", field="name"),
        optional("client", field="client"),
        optional("site", field="site"),
        optional("units", one_of(words.UNIT_SYSTEMS, "unit system"), "units"),
        optional("code of construction", field="construction_code"),
        optional("edition", field="edition"),
        optional("Section IX edition", one_of(words.WELDERS_EDITION, "edition of Section IX"), "welders_edition"),
        optional(
            "certificates edition",
            one_of(words.CERTIFICATES_EDITION, "edition of them"),
            "certificates_edition",
        ),
        optional(
            "certificates rounding",
            one_of(words.CERTIFICATES_ROUNDING, "way of comparing"),
            "certificates_rounding",
        ),
        optional("rejects in first sample", one_of(words.FIRST_BATCH, "reading of rejects"), "first_batch"),
        optional("flanges edition", one_of(words.FLANGES_EDITION, "edition of the flanges"), "flanges_edition"),
        optional("time zone", time_zone, "time_zone"),
        optional("recording", one_of(words.RECORDINGS, "recording level"), "recording"),
        optional("confirmation demanded", yes_no, "confirmation_demanded"),
        optional("transport envelope", transport_envelope, "transport_envelope"),
        optional("repairs max", number_or_none(1, 99), "repairs_max"),
    ),
    ("code",),
)
LINES = SheetForm(
    "Lines",
    Line,
    (
        needed("line", field="number"),
        present("service", field="service"),
        needed("fluid service", one_of(words.SERVICES, "fluid service"), "fluid_service"),
        present("NPS", nps, "nps"),
        present("schedule", schedule, "schedule"),
        present("material", field="material"),
        optional("severe cyclic", yes_no, "severe_cyclic"),
        optional("elevated temperature", yes_no, "elevated_temperature"),
        optional("piping class", field="piping_class"),
        optional("design pressure", pressure, "design_pressure_kpa"),
        optional("design temperature", temperature, "design_temperature_c"),
        optional("exam plan", names="exam plan"),
        optional("planned start", day, "planned_start"),
        optional("planned finish", day, "planned_finish"),
    ),
    ("line",),
)
SHEETS = SheetForm(
    "Sheets",
    Sheet,
    (
        needed("line", names="line"),
        needed("drawing", field="drawing"),
        needed("sheet", field="number"),
        present("revision", field="revision"),
        optional("spools", all_or_list(text)),
    ),
    ("drawing", "sheet"),
)
ROUTES = SheetForm(
    "Routes",
    None,
    (
        *_drawing_and_sheet(),
        needed("step", whole_number(1, 9999)),
        present("item"),
        *(optional(name) for name in ROUTE_COLUMNS),
        optional("note"),
        optional("joints", all_or_list(text)),
    ),
    ("drawing", "sheet", "step"),
)
MATERIALS = SheetForm(
    "Materials",
    Material,
    (
        needed("material", field="name"),
        needed("P-Number", _p, "p_number"),
        optional("group", field="group"),
    ),
    ("material",),
)
COMPONENTS = SheetForm(
    "Components",
    Piece,
    (
        *_drawing_and_sheet(),
        needed("piece", field="mark"),
        needed("kind", field="kind"),
        needed("NPS", nps, "nps"),
        optional("second NPS", nps, "second_nps"),
        optional("schedule", schedule, "schedule"),
        optional("class", field="pressure_class"),
        optional("material", field="material"),
        optional("heat", names="heat"),
        optional("length", length, "length_mm"),
    ),
    ("drawing", "sheet", "piece"),
)
JOINTS = SheetForm(
    "Joints",
    Joint,
    (
        *_drawing_and_sheet(),
        needed("joint", field="number"),
        needed("kind", one_of(words.JOINT_KINDS, "joint kind"), "kind"),
        needed("location", one_of(words.PLACES, "location"), "location"),
        needed("NPS", nps, "nps"),
        needed("schedule", schedule, "schedule"),
        optional("spool"),
        optional("spool B"),
        optional("piece A"),
        optional("piece B"),
        optional("heat A", names="heat"),
        optional("heat B", names="heat"),
        optional("material A", field="material_a"),
        optional("material B", field="material_b"),
        optional("class", field="socket_class"),
        optional("procedure", names="procedure"),
        optional("position", position, "position"),
        optional("alias", field="alias"),
    ),
    ("drawing", "sheet", "joint"),
)
PROCEDURES = SheetForm(
    "Procedures",
    Procedure,
    (
        needed("procedure", field="number"),
        present("revision", field="revision"),
        needed("P-Number", all_or_list(_p), "p_numbers"),
        needed("processes", all_or_list(_process, ",;+"), "processes"),
        optional("P-Number B", all_or_list(_p), "p_numbers_b"),
        optional("PQR", field="pqr"),
        optional("joint kinds", all_or_list(one_of(words.JOINT_KINDS, "joint kind")), "joint_kinds"),
        optional("thickness min", length, "thickness_min_mm"),
        optional("thickness max", length, "thickness_max_mm"),
        optional("deposit max", length, "deposit_max_mm"),
        optional("outside diameter min", length, "outside_diameter_min_mm"),
        optional("positions", all_or_list(position), "positions"),
        optional("progression", _progression, "progression"),
        optional("backing", yes_no_word, "backing"),
        optional("preheat min", temperature, "preheat_min_c"),
        optional("interpass max", temperature, "interpass_max_c"),
        optional("heat input max", heat_input, "heat_input_max_kj_mm"),
        optional("gap min", length, "gap_min_mm"),
        optional("gap max", length, "gap_max_mm"),
        optional("squareness max", length, "squareness_max_mm"),
        optional("high-low max", length, "high_low_max_mm"),
        optional("passes min", whole_number(1, 99), "passes_min"),
        optional("stop spacing min", degrees, "stop_spacing_min_degrees"),
        optional("PWHT", field="pwht"),
    ),
    ("procedure",),
)
PROCEDURE_PASSES = SheetForm(
    "Procedure passes",
    ProcedurePass,
    (
        needed("procedure", names="procedure"),
        needed("pass", one_of(words.ROLES, "kind of pass"), "role"),
        needed("process", _process, "process"),
        present("filler", field="filler"),
        present("filler diameter", length, "filler_diameter_mm"),
        optional("F-Number", _f, "f_number"),
        optional("polarity", field="polarity"),
        optional("shielding gas", field="shielding_gas"),
        optional("amps min", current, "amps_min"),
        optional("amps max", current, "amps_max"),
        optional("volts min", voltage, "volts_min"),
        optional("volts max", voltage, "volts_max"),
        optional("travel min", travel, "travel_min_mm_min"),
        optional("travel max", travel, "travel_max_mm_min"),
    ),
    ("procedure", "pass"),
    ("process", "filler"),
)
WELDERS = SheetForm(
    "Welders",
    Stamp,
    (
        needed("stamp", field="code"),
        needed("name"),
        optional("employer", field="employer"),
        optional("from", day, "valid_from"),
        optional("to", day, "valid_to"),
        optional("sign-in"),
    ),
    ("stamp",),
)
QUALIFICATIONS = SheetForm(
    "Qualifications",
    Qualification,
    (
        needed("stamp", names="stamp"),
        needed("WPQ", field="wpq"),
        needed("process", _process, "process"),
        needed("test date", past_day, "tested_on"),
        needed("P-Number", _p, "p_number"),
        needed("F-Number", _f, "f_number"),
        needed("position", all_or_list(position, ",;+&/"), "positions"),
        needed("coupon", one_of(words.COUPONS, "coupon"), "coupon"),
        present("coupon diameter", length, "coupon_diameter_mm"),
        needed("deposit thickness", length, "deposit_mm"),
        optional("weld", one_of(words.WELDS, "kind of test weld"), "weld"),
        optional("layers", whole_number(1, 99), "layers"),
        optional("backing", yes_no_word, "backing"),
        optional("transfer", field="transfer"),
        optional("progression", _progression, "progression"),
        optional("operation", one_of(words.OPERATIONS, "kind of operation"), "operation"),
        optional("qualifying employer", field="qualifying_employer"),
        optional("status", one_of(words.STATUSES, "status"), "status"),
        optional("status date", past_day, "status_on"),
    ),
    ("stamp", "WPQ"),
    ("process", "F-Number"),
)
CONTINUITY = SheetForm(
    "Continuity",
    ContinuityEntry,
    (
        needed("stamp", names="stamp"),
        needed("process", _process, "process"),
        needed("date", past_day, "used_on"),
        optional("evidence", field="evidence"),
    ),
    ("stamp", "process", "date"),
)
HEATS = SheetForm(
    "Heats",
    Heat,
    (
        needed("heat", field="number"),
        needed("material", field="material"),
        optional("manufacturer", field="manufacturer"),
        optional("item", field="item"),
        optional("size", field="size"),
        optional("certificate"),
        optional("analysis", one_of(words.ANALYSES, "kind of analysis"), "analysis"),
        *(optional(symbol, _element) for symbol in ELEMENTS),
        optional("tensile", stress, "tensile_mpa"),
        optional("yield", stress, "yield_mpa"),
        optional("elongation", percent, "elongation_percent"),
        optional("hardness", figure("HB", "HBW", "HRB", "HRC", "HV", greatest=2000), "hardness"),
    ),
    ("heat",),
)
FILLER_LOTS = SheetForm(
    "Filler lots",
    FillerLot,
    (
        needed("lot", field="number"),
        needed("classification", field="classification"),
        present("diameter", length, "diameter_mm"),
        optional("heat", field="heat"),
        optional("certificate"),
    ),
    ("lot",),
)
EXAMINERS = SheetForm(
    "Examiners",
    Examiner,
    (
        needed("name", field="name"),
        needed("method", _method, "method"),
        present("level", field="level"),
        present("valid until", day, "valid_until"),
        optional("employer", field="employer"),
        optional("certificate", field="certificate"),
    ),
    ("name", "method"),
)
EXAM_PLANS = SheetForm(
    "Exam plans",
    ExamRule,
    (
        needed("plan"),
        needed("joint kind", one_of(words.KINDS_OR_ALL, "joint kind"), "joint_kind"),
        needed("method", _method, "method"),
        needed("share", share, "share_percent"),
        optional("NPS min", nps, "nps_min"),
        optional("NPS max", nps, "nps_max"),
        optional("lot basis", field="lot_basis"),
        optional("lot size", whole_number(1, 100_000), "lot_size"),
        optional("acceptance", field="acceptance"),
        optional("stage", field="stage"),
    ),
    ("plan", "joint kind", "method"),
    ("NPS min", "NPS max", "stage"),
)
HOLD_POINTS = SheetForm(
    "Hold points",
    HoldPoint,
    (
        needed("point", field="name"),
        needed("step", one_of(words.STEPS_OF_POINTS, "step of a point"), "step"),
        needed("kind", one_of(words.POINTS, "kind of point"), "kind"),
        optional("line", names="line"),
        optional("piping class", field="piping_class"),
        optional("joint kind", one_of(words.KINDS_OF_POINTS, "joint kind"), "joint_kind"),
        optional("document", field="document"),
        optional("in force", yes_no, "in_force"),
    ),
    ("point",),
)
SPECIFICATION = SheetForm(
    "Specification",
    OwnerLimit,
    (
        needed("limit", one_of(words.OWNER_LIMITS, "limit"), "limit"),
        needed("figure", lambda cell, setting: as_text(cell)),
        needed("specification", field="specification"),
        present("clause", field="clause"),
        optional("joint kind", one_of(words.KINDS_LIMITED, "joint kind"), "joint_kind"),
        optional("fluid service", one_of(words.SERVICES_LIMITED, "fluid service"), "service"),
        optional("mode", one_of(words.MODES, "mode"), "mode"),
    ),
    ("limit",),
    ("joint kind", "fluid service"),
)
