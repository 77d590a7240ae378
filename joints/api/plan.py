"""What is planned: lines, sheets, spools, pieces, heats, filler lots, procedures and joints, to read."""

from records.api.fields import (
    Field,
    day,
    flag,
    key,
    named,
    number,
    object_of,
    one_of,
    text,
    whole,
    words_of,
)  # fmt: skip
from records.api.record_fields import JOB
from records.api.resource import Children, Resource
from records.models import (
    Certificate,
    FillerLot,
    Heat,
    Joint,
    Line,
    Material,
    OwnerLimit,
    Piece,
    Procedure,
    ProcedurePass,
    Route,
    Sheet,
    Spool,
)
from records.models.joint import KINDS, LOCATIONS, STATES
from records.models.line import FLUID_SERVICES, SPOOL_STATES
from records.models.material import PIECE_STATES
from records.models.procedure import PASS_ROLES

SIZE: dict[str, Field] = {"nps": text("nps"), "schedule": text("schedule")}
SHEET: dict[str, Field] = {"drawing": text("sheet__drawing"), "sheet": text("sheet__number")}

LINES = Resource(
    "lines",
    "Line",
    "A pipe run with one line number, service and piping class.",
    Line,
    {
        **JOB,
        "line": text("number"),
        "service": text("service"),
        "fluid_service": one_of("fluid_service", FLUID_SERVICES),
        **SIZE,
        "material": text("material"),
        "severe_cyclic": flag("severe_cyclic"),
        "elevated_temperature": flag("elevated_temperature"),
        "piping_class": text("piping_class"),
        "design_pressure_kpa": number("design_pressure_kpa"),
        "design_temperature_c": number("design_temperature_c"),
        "exam_plan": text("exam_plan__name", nullable=True),
        "planned_start": day("planned_start"),
        "planned_finish": day("planned_finish"),
    },
)
SHEETS = Resource(
    "sheets",
    "Sheet",
    "One sheet of a line's isometric drawing, at its current revision.",
    Sheet,
    {
        **JOB,
        "line": text("line__number"),
        "drawing": text("drawing"),
        "sheet": text("number"),
        "revision": text("revision"),
    },
)
SPOOLS = Resource(
    "spools",
    "Spool",
    "A prefabricated part of a line, with the state that follows from its steps.",
    Spool,
    {
        **JOB,
        "line": text("line__number"),
        "spool": text("mark"),
        "state": one_of("state", SPOOL_STATES),
        "place": text("place"),
        "last_on": day("last_on"),
    },
)
PIECES = Resource(
    "pieces",
    "Piece",
    "One physical pipe length, fitting, flange or valve of a sheet, with the state that follows from its events.",
    Piece,
    {
        **JOB,
        **SHEET,
        "piece": text("mark"),
        "kind": text("kind"),
        **SIZE,
        "second_nps": text("second_nps"),
        "class": text("pressure_class"),
        "material": text("material"),
        "heat": text("heat__number", nullable=True),
        "length_mm": number("length_mm"),
        "state": one_of("state", PIECE_STATES),
        "place": text("place"),
        "last_on": day("last_on"),
    },
)
HEATS = Resource(
    "heats",
    "Heat",
    "A melt, with what its certificate says of it; `elements` in weight percent by symbol.",
    Heat,
    {
        **JOB,
        "heat": text("number"),
        "material": text("material"),
        "manufacturer": text("manufacturer"),
        "item": text("item"),
        "size": text("size"),
        "certificate": text("certificate__number", nullable=True),
        "analysis": one_of("analysis", ("heat", "product")),
        "elements": object_of("elements"),
        "tensile_mpa": number("tensile_mpa"),
        "yield_mpa": number("yield_mpa"),
        "elongation_percent": number("elongation_percent"),
        "hardness": number("hardness"),
    },
)
FILLER_LOTS = Resource(
    "filler-lots",
    "FillerLot",
    "A lot of filler metal.",
    FillerLot,
    {
        **JOB,
        "lot": text("number"),
        "classification": text("classification"),
        "diameter_mm": number("diameter_mm"),
        "heat": text("heat"),
        "certificate": text("certificate__number", nullable=True),
    },
)
PROCEDURE_PASS: dict[str, Field] = {
    "pass": one_of("role", PASS_ROLES),
    "process": text("process"),
    "filler": text("filler"),
    "filler_diameter_mm": number("filler_diameter_mm"),
    "f_number": text("f_number"),
    "polarity": text("polarity"),
    "shielding_gas": text("shielding_gas"),
    **{
        name: number(name)
        for name in ("amps_min", "amps_max", "volts_min", "volts_max", "travel_min_mm_min", "travel_max_mm_min")
    },
}
_LIMITS = (
    "thickness_min_mm", "thickness_max_mm", "deposit_max_mm", "outside_diameter_min_mm", "preheat_min_c",
    "interpass_max_c", "heat_input_max_kj_mm", "gap_min_mm", "gap_max_mm", "squareness_max_mm", "high_low_max_mm",
    "stop_spacing_min_degrees",
)  # fmt: skip
PROCEDURES = Resource(
    "procedures",
    "Procedure",
    "A welding procedure at its current revision, with its passes; an empty list is no restriction.",
    Procedure,
    {
        **JOB,
        "procedure": text("number"),
        "revision": text("revision"),
        "p_number": words_of("p_numbers"),
        "p_number_b": words_of("p_numbers_b"),
        "processes": words_of("processes"),
        "pqr": text("pqr"),
        "joint_kinds": words_of("joint_kinds"),
        "positions": words_of("positions"),
        "progression": text("progression"),
        "backing": text("backing"),
        **{name: number(name) for name in _LIMITS},
        "passes_min": whole("passes_min", nullable=True),
        "pwht": text("pwht"),
    },
    children={"passes": Children(ProcedurePass, "procedure_id", PROCEDURE_PASS)},
)
JOINTS = Resource(
    "joints",
    "Joint",
    "One weld between two pieces of a sheet, with its state, which follows from the records.",
    Joint,
    {
        **JOB,
        "line": text("line__number"),
        **SHEET,
        "joint": text("number"),
        "kind": one_of("kind", KINDS),
        "location": one_of("location", LOCATIONS),
        **SIZE,
        "outside_diameter_mm": number("od_mm"),
        "wall_mm": number("wall_mm"),
        "spool": text("spool__mark", nullable=True),
        "spool_b": text("spool_b__mark", nullable=True),
        "piece_a": text("piece_a__mark", nullable=True),
        "piece_b": text("piece_b__mark", nullable=True),
        "heat_a": text("heat_a__number", nullable=True),
        "heat_b": text("heat_b__number", nullable=True),
        "material_a": text("material_a"),
        "material_b": text("material_b"),
        "class": text("socket_class"),
        "procedure": named(Procedure, "procedure"),
        "position": text("position"),
        "alias": text("alias"),
        "state": one_of("state", STATES),
        "attempt": text("attempt"),
        "next_step": text("next_step"),
        "progress_percent": whole("progress"),
        "due": text("due", about="Methods still to be examined"),
        "stamps": text("stamps"),
        "assigned": text("assigned__code", nullable=True),
        "welded_on": day("welded_on"),
        "accepted_on": day("accepted_on"),
        "released_on": day("released_on"),
        "stops": whole("stops"),
        "corrects": whole("corrects"),
        "notes": whole("notes"),
        "waits": whole("waits"),
        "is_stale": flag("is_stale"),
    },
    filters=("line_id", "spool_id"),
)
MATERIALS = Resource(
    "materials",
    "Material",
    "A material of the job that the built-in list lacks, with its P-Number.",
    Material,
    {**JOB, "material": text("name"), "p_number": text("p_number"), "group": text("group")},
)
CERTIFICATES = Resource(
    "certificates",
    "Certificate",
    "A mill certificate; without a size its paper is not on file yet.",
    Certificate,
    {
        **JOB,
        "certificate": text("number"),
        "file_name": text("file_name"),
        "size": whole("size"),
        "sha256": text("sha256"),
    },
)
ROUTES = Resource(
    "routes",
    "Route",
    "The route of a sheet as text, a step a line; `numbers` are its joints along the flow, once it was applied.",
    Route,
    {**JOB, **SHEET, "sheet_id": key("sheet_id"), "text": text("text"), "numbers": words_of("numbers")},
)
OWNER_LIMITS = Resource(
    "owner-limits",
    "OwnerLimit",
    "A limit that the owner tightens or replaces; `value` in mm, °C, kJ/mm, degrees, percent or a count.",
    OwnerLimit,
    {
        **JOB,
        "limit": text("limit"),
        "joint_kind": text("joint_kind"),
        "service": text("service"),
        "value": number("value"),
        "mode": text("mode"),
        "specification": text("specification"),
        "clause": text("clause"),
    },
)
PLAN = (
    LINES, SHEETS, ROUTES, SPOOLS, PIECES, MATERIALS, CERTIFICATES, HEATS, FILLER_LOTS, PROCEDURES, OWNER_LIMITS,
    JOINTS,
)  # fmt: skip
