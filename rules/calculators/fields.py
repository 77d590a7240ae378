"""What each key of the calculators is, in the trade's words: its label, kind, hint, example and what is accepted.

A key is described once, under its name; where it means something else in one calculator, under `calculator.key`.
The pages, the API's refusals, the papers and `docs/calculators.md` all take their words from here.
"""

from collections.abc import Iterable, Mapping

from rules.acceptance import KINDS as IMPERFECTIONS
from rules.acceptance import SERVICES, WELDS
from rules.calculators.amounts import METALS
from rules.calculators.asked import Fault
from rules.calculators.field import Field, Offered
from rules.calculators.grouping import TRANSFERS, known_processes
from rules.calculators.welders import JOINT_KINDS, PLACES
from rules.certificate import ELEMENTS, NEWER, OLDER, REPORTED, ROUNDED, known_materials
from rules.cut_length import BUTT, ENDS, FLANGE_EDITIONS, SOCKET
from rules.extent import services
from rules.growth import EDITIONS, MATERIALS
from rules.heating import PREHEAT_EDITIONS, TREATMENT_EDITIONS
from rules.leak_test import CODES as TEST_CODES
from rules.leak_test import KINDS as TESTS
from rules.ranges import known_test_positions
from rules.sample import TYPE, WELDER
from rules.size_words import dn_of
from rules.tables import table
from rules.units import US

# Where the named weights stand among the numbers: XXS is mostly the thickest.
_AS_THICK = {"STD": 35, "XS": 70, "XXS": 200}


def _column(name: str, column: str) -> Offered:
    return lambda: (row[column] for row in table(name).rows)


def _schedules() -> Iterable[str]:
    """The schedules of the pipe table from thin to thick; those of stainless steel beside their number."""
    known = list(dict.fromkeys(row["schedule"] for row in table("pipe").rows))
    return sorted(known, key=lambda one: (_AS_THICK.get(one) or int(one.rstrip("S")), one))


def _of(*values: str) -> Offered:
    return lambda: values


def _split(name: str, column: str) -> Offered:
    return lambda: (one for row in table(name).rows for one in row[column].split() if one != "any")


def _processes() -> Iterable[str]:
    return (*known_processes(), "GMAW-S")


def _bare() -> Iterable[str]:
    return _column("deposition", "process")()


def _test_positions() -> Iterable[str]:
    return (*known_test_positions("pipe"), *known_test_positions("plate"), "2G+5G")


_P = "As the procedure and the material list have it"
_YES_NO = _of("yes", "no")
_DECIDES_OVER = "Not given: not judged"

FIELDS: Mapping[str, Field] = {
    "nps": Field("Nominal size", "nps", "By NPS, or by DN with its letters", "1-1/2", "DN 40", _column("pipe", "nps")),
    "schedule": Field("Schedule", "schedule", "Not every size has every schedule", "80", "", _schedules),
    "class": Field(
        "Class of the fitting",
        "class",
        "Of the socket-welding fitting",
        "3000",
        "",
        _column("socket_fittings", "class"),
    ),
    # sizes
    "joint": Field("Welded by", "choice", "At both fittings", SOCKET, "", _of(SOCKET, BUTT)),
    "centre": Field("Centre to centre", "length", "To a flange: to its raised face", "19-5/8", "500", above=True),
    "end1": Field("Fitting at one end", "choice", "", "elbow-90", "", _of(*ENDS)),
    "end2": Field("Fitting at the other end", "choice", "", "tee", "", _of(*ENDS)),
    "gap": Field("Gap in each socket", "length", "Not given: the code's figure before welding", "1/16", "1.5"),
    "root": Field("Root opening at each butt end", "length", "Not given: none", "1/8", "3"),
    "material": Field("Material", "text", "Or the filler's classification", "A106 Gr B", "", known_materials),
    "thermal-growth.material": Field("Steel", "choice", "Its kind", "carbon", "", _of(*MATERIALS)),
    "from": Field("From", "temperature", "As installed", "70", "25"),
    "to": Field("To", "temperature", "In service; lower than the first: it shrinks", "300", "150"),
    "length": Field("Length", "length", "Of the run that is warmed", "30 ft", "9 m", above=True),
    "thermal-growth.edition": Field("Figures of", "choice", "The editions differ", "older", "", _of(*EDITIONS)),
    "allowance": Field("Field-fit allowance", "length", "Left to trim on site; not given: none", "2", "50"),
    "class2": Field(
        "Class at the other end", "class", "Not given: the same", "6000", "", _column("socket_fittings", "class")
    ),
    "flange_edition": Field(
        "Edition of the flanges", "choice", "1996 and earlier: hub with raised face", "2003", "", _of(*FLANGE_EDITIONS)
    ),
    "joints": Field("Joints", "text", "Size x number, and so on", "1-1/2 x 12, 2 x 4", "DN 40 x 12, DN 50 x 4"),
    # fitting up
    "mark": Field("Witness mark from the end", "length", "Not given: where it shows", "1", "25", above=True),
    "depth": Field(
        "Depth of the socket", "length", "As measured; not given: the standard's least", "1/2", "13", above=True
    ),
    "insertion.schedule": Field(
        "Schedule of the pipe", "schedule", "Keeps the mark clear of the weld", "80", "", _schedules
    ),
    "gap.measured": Field("Gap as measured", "length", "Before welding", "1/8", "3"),
    "code": Field("Code", "choice", "Not given: B31.3", "B31.3", "", _column("gap_before_welding", "code")),
    "at": Field("At a", "choice", "Not given: fitting", "fitting", "", _column("gap_before_welding", "at")),
    "wps": Field("Procedure", "text", "Its number, to be named", "W-11"),
    "wps_min": Field("Procedure: least", "length", "", "1/16", "1.5"),
    "wps_max": Field("Procedure: greatest", "length", "", "1/8", "3"),
    "owner": Field("Owner's specification", "text", "Its number, to be named", "PS-104"),
    "clause": Field("Its clause", "text", "As it stands there", "5.2"),
    "owner_min": Field("Owner: least", "length", "", "1/16", "1.5"),
    "owner_max": Field("Owner: greatest", "length", "", "1/8", "3"),
    **{f"gap_{clock}": Field(f"At {clock} o'clock", "length", "", "1/16", "1.5") for clock in ("12", "3", "6", "9")},
    "out_of_square": Field("Out of square", "length", "The most between square and pipe end", "1/16", "1.5"),
    "crooked-cut.nps": Field(
        "Nominal size", "nps", "Needed where it was measured over a length", "1-1/2", "DN 40", _column("pipe", "nps")
    ),
    "over": Field("Measured over", "length", "Not given: over the whole diameter", "4", "100", above=True),
    "one": Field("One inside measurement", "length", "", "19-5/8", "500", above=True),
    "other": Field("The other", "length", "", "19-21/32", "501", above=True),
    "agree": Field("They agree within", "length", "Not given: a division of the tape", "1/16", "1"),
    "socket-growth.material": Field("Steel of the pipe", "choice", "", "carbon", "", _of(*MATERIALS)),
    "socket_material": Field("Steel of the fitting", "choice", "Not given: the same", "carbon", "", _of(*MATERIALS)),
    "socket_to": Field("Fitting warmed to", "temperature", "Not given: still cold", "200", "95"),
    "socket-growth.edition": Field("Figures of", "choice", "The editions differ", "older", "", _of(*EDITIONS)),
    # fillet welds
    "hub": Field("Hub thickness", "length", "Not given: the pipe decides", "3/8", "10", above=True),
    "side": Field("Side of the flange", "choice", "Not given: hub", "hub", "", _of("hub", "face")),
    "leg1": Field("Leg on the pipe", "length", "As measured", "1/4", "6", above=True),
    "leg2": Field("Leg on the fitting", "length", "As measured", "5/16", "8", above=True),
    "actual": Field("Throat as measured", "length", "Of a concave fillet", "5/32", "4", above=True),
    # examining
    "service": Field("Fluid service", "choice", "As the line list has it", "Normal", "", _of(*SERVICES)),
    "examination-extent.service": Field("Fluid service", "choice", "As the line list has it", "Normal", "", services),
    "weld": Field("Weld", "choice", "A socket weld is a fillet", "girth", "", _of(*WELDS)),
    "kind": Field("Imperfection", "choice", "", "undercut", "", _of(*IMPERFECTIONS)),
    "wall": Field("Wall", "length", "Nominal; of the thinner part", "0.237", "6", above=True),
    "measured": Field("Depth or height measured", "length", "Not given: only the limit is told", "1/64", "0.4"),
    "imperfection-limit.length": Field("Length measured", "length", _DECIDES_OVER, "1/8", "3"),
    "width": Field("Width measured", "length", _DECIDES_OVER, "1/32", "0.8"),
    "girth": Field("Girth and mitre welds", "count", "In the lot", "100"),
    "socket": Field("Socket welds", "count", "In the lot", "20"),
    "branch": Field("Branch welds", "count", "In the lot; not given: none", "4"),
    "welders": Field("Welders", "count", "Each has one of his welds examined", "3"),
    "rejects": Field("Rejected in the first sample", "count", "Welds", "1"),
    "rounds": Field("Results since", "text", "One round after the other: pass,fail/pass,pass", "pass,fail"),
    "available": Field("Welds left to examine", "count", "By the same welder in the same lot; not given: enough", "12"),
    # welders
    "process": Field("Process", "text", "Not given: it does not matter", "GTAW", "", _processes),
    "heat-input.process": Field(
        "Process", "text", "Gives k; not given: arc energy only", "GTAW", "", _column("heat_input_factors", "process")
    ),
    "welder-range.process": Field("Process", "text", "GMAW-S is short-circuiting", "GTAW", "", _processes),
    "welder-range.weld": Field("Test weld", "choice", "", "groove", "", _of("groove", "fillet")),
    "coupon": Field("Coupon", "choice", "", "pipe", "", _of("pipe", "plate")),
    "position": Field("Test position", "text", "Several with +", "6G", "", _test_positions),
    "deposit": Field("Deposit thickness", "length", "Of this welder by this process", "0.218", "5.5", above=True),
    "od": Field("Outside diameter of the coupon", "length", "Needed for pipe", "2.375", "60.3", above=True),
    "layers": Field("Layers", "count", "Three or more widen a thick deposit", "3"),
    "heat-treatment.layers": Field("Layers", "choice", "Not given: several", "multi", "", _of("single", "multi")),
    "p": Field("P-Number", "text", _P, "1", "", _column("materials", "p_number")),
    "f": Field(
        "F-Number of the filler", "text", "Or the filler's classification", "6", "", _split("f_numbers_qw433", "tested")
    ),
    "backing": Field("Welded with backing", "choice", _DECIDES_OVER, "no", "", _YES_NO),
    "transfer": Field(
        "Transfer",
        "text",
        "Of gas metal arc welding",
        "spray",
        "",
        _of(*TRANSFERS),
    ),
    "joint_kind": Field(
        "Kind of the joint",
        "choice",
        "Not given: butt after a groove test, else socket",
        "socket",
        "",
        _of(*JOINT_KINDS),
    ),
    "joint_od": Field("Outside diameter of the joint", "length", "Not given: large", "1.315", "33.4", above=True),
    "joint_position": Field(
        "Position of the joint", "text", _DECIDES_OVER, "overhead", "", _of(*PLACES, "all", "2G", "5G", "6G")
    ),
    "joint_thickness": Field("Deposit in the joint", "length", _DECIDES_OVER, "0.179", "4.55", above=True),
    "joint_p": Field("P-Number of the joint", "text", _DECIDES_OVER, "8", "", _column("materials", "p_number")),
    "joint_f": Field("F-Number in the joint", "text", _DECIDES_OVER, "6", "", _split("f_numbers_qw433", "tested")),
    "joint_backing": Field("Joint has backing", "choice", _DECIDES_OVER, "yes", "", _YES_NO),
    "last_used": Field("Last used on", "date", "The day of the last weld by this process", "2026-03-31"),
    "as_of": Field("As of", "date", "Not given: today", "2026-09-15"),
    # welding
    "least-passes.process": Field("Process", "choice", "Gives the most that one pass lays down", "SMAW", "", _bare),
    "filler-needed.process": Field("Process", "choice", "Gives the deposition efficiency", "SMAW", "", _bare),
    "least-passes.thickness": Field("Wall of the groove", "length", "Or the leg of a fillet", "1/2", "12", above=True),
    "leg": Field("Leg of the fillet", "length", "Of a fillet only", "1/4", "6", above=True),
    "layer": Field("Most in one pass", "length", "Not given: common practice", "1/8", "3", above=True),
    "specified": Field("Passes asked at least", "count", "By procedure or owner; not given: none", "2"),
    "stops": Field("Stops", "text", "Pass by pass on a clock face; segments with +", "12, 4:30, 9"),
    "spacing": Field("Spacing asked, in degrees", "number", "By procedure or owner; not given: not judged", "30"),
    "stop-spacing.nps": Field(
        "Nominal size", "nps", "Gives the distance round the pipe", "2", "DN 50", _column("pipe", "nps")
    ),
    "filler-needed.section": Field("Weld", "choice", "", "fillet", "", _of("fillet", "groove")),
    "filler-needed.joints": Field("Joints", "count", "Not given: one", "12"),
    "filler-needed.leg2": Field("Leg on the fitting", "length", "Not given: the same", "1/4", "6", above=True),
    "filler-needed.root": Field("Root opening", "length", "Of a groove; not given: none", "1/8", "3"),
    "land": Field("Land", "length", "Of a groove; not given: none", "1/16", "1.5"),
    "angle": Field("Angle of the groove", "number", "Both bevels, in degrees; not given: 75", "75", above=True),
    "reinforcement": Field("Reinforcement", "length", "Of a groove; not given: none", "1/16", "1.5"),
    "metal": Field("Weld metal", "choice", "Gives the density; not given: carbon", "carbon", "", _of(*METALS)),
    "efficiency": Field("Deposition efficiency", "number", "From 0 to 1; not given: of the process", "0.6", above=True),
    "spare": Field("Spare", "percent", "On top; not given: none", "10"),
    "share": Field("Share to examine", "percent", "Of all welds of the lot", "5"),
    "welds": Field("Welds", "text", "Welder, type of weld, number, and so on", "A1 butt 40, A1 socket 9, B2 butt 12"),
    "each": Field("Each has one", "choice", "Welder, or type of weld by each welder", "welder", "", _of(WELDER, TYPE)),
    "method": Field("Examination", "choice", "", "PT", "", _column("surface_acceptance_b31_3", "method")),
    "rounded": Field("Rounded indications", "text", "Their sizes", "1/16 in, 1/8 in", "1.5 mm, 3 mm"),
    "linear": Field("Linear indications", "text", "Their lengths", "1/16 in", "1.5 mm"),
    "in_line": Field("Rounded in a line", "count", "The most of them; not given: none", "3"),
    "apart": Field("Apart, edge to edge", "length", "Not given: near", "1/16", "1.5"),
    "cumulative": Field("Length of all together", "length", _DECIDES_OVER, "1", "25"),
    "longitudinal": Field("Longitudinal welds", "count", "In the lot; not given: none", "2"),
    "reading": Field(
        "Two more", "choice", "For each defect of the first sample, or in all", "each", "", _of("each", "all")
    ),
    "joint_tack": Field("It is a tack", "choice", "To a quarter of the circumference", "no", "", _YES_NO),
    "coupon_thickness": Field(
        "Thickness of the coupon", "length", "Of a fillet test in plate", "3/8", "10", above=True
    ),
    "welder-range.edition": Field(
        "Edition of the ranges", "choice", "Not given: current", "current", "", _column("tacks_qw461_9", "edition")
    ),
    "supplement": Field("CE supplement ordered", "choice", "Not given: no", "no", "", _YES_NO),
    "section": Field("Section thickness", "length", "Decides the limit of CE", "1-1/2", "40", above=True),
    "procedure-check.joint_kind": Field("Kind of the joint", "choice", "", "butt", "", _of(*JOINT_KINDS)),
    "procedure-check.thickness": Field("Thicker part", "length", "Not given: the pipe's wall", "0.5", "12", above=True),
    "procedure-check.position": Field(
        "Position of the joint", "text", _DECIDES_OVER, "5G", "", _of(*PLACES, "all", "2G", "5G", "6G")
    ),
    "procedure-check.deposit": Field("Deposit by one process", "length", _DECIDES_OVER, "0.237", "6", above=True),
    "procedure-check.edition": Field(
        "Edition", "choice", "Of ASME B31.3; not given: the job's", "2018", "", _of(*TREATMENT_EDITIONS)
    ),
    "procedure-check.tensile": Field(
        "Specified tensile strength", "strength", "Not given: taken as low", "60 ksi", "415"
    ),
    "procedure-check.layers": Field("Layers", "choice", "Not given: several", "multi", "", _of("single", "multi")),
    "p_b": Field(
        "P-Number of the other side", "text", "Not given: the same", "8", "", _column("materials", "p_number")
    ),
    "progression": Field("Progression", "text", _DECIDES_OVER, "up", "", _of("up", "down")),
    "filler": Field("Filler", "text", _DECIDES_OVER, "ER70S-6", "", _column("fillers", "classification")),
    "wps_p": Field("WPS: P-Numbers", "text", "Not given: not restricted", "1"),
    "wps_p_b": Field("WPS: P-Numbers of the other side", "text", "Not given: the same", "8"),
    "wps_kinds": Field("WPS: joint kinds", "text", "Not given: all", "butt, socket"),
    "wps_thickness_min": Field("WPS: base metal from", "length", "", "1/16", "1.5"),
    "wps_thickness_max": Field("WPS: base metal to", "length", "", "3/4", "19"),
    "wps_deposit_max": Field("WPS: deposit to", "length", "", "3/8", "9.5"),
    "wps_od_min": Field("WPS: outside diameter from", "length", "", "1", "25"),
    "wps_positions": Field("WPS: positions", "text", "Not given: all", "2G, 5G"),
    "wps_progression": Field("WPS: progression", "text", "", "up", "", _of("up", "down")),
    "wps_processes": Field("WPS: processes", "text", "Not given: all", "GTAW, SMAW"),
    "wps_fillers": Field("WPS: fillers", "text", "Not given: not restricted", "ER70S-6, E7018"),
    "wps_preheat": Field("WPS: preheat", "temperature", "At least", "50", "10"),
    "wps_pwht": Field("WPS: heat treatment", "text", "Not given: not judged", "no", "", _YES_NO),
    "volts": Field("Voltage", "voltage", "At the arc", "12", above=True),
    "amps": Field("Current", "current", "", "110", above=True),
    "travel": Field("Travel speed", "travel", "Along the weld", "3", "80", above=True),
    "k": Field("Thermal efficiency k", "number", "Goes before the process", "0.6", above=True),
    "thickness": Field("Thickness", "length", "Nominal wall of the thicker part", "0.5", "12", above=True),
    "heat-treatment.thickness": Field("Wall", "length", "Of a socket weld: the pipe's", "0.5", "12", above=True),
    "carbon": Field("Carbon", "percent", "Specified most; not given: taken as low", "0.25"),
    "preheat": Field("Preheat applied", "temperature", "Not given: none", "200", "95"),
    "throat": Field("Throat of the fillet", "length", "Of a fillet only", "1/4", "6", above=True),
    "preheat.edition": Field(
        "Edition", "choice", "Of ASME B31.3; not given: the job's, else the newest", "2018", "", _of(*PREHEAT_EDITIONS)
    ),
    "heat-treatment.edition": Field(
        "Edition",
        "choice",
        "Of ASME B31.3; not given: the job's, else the newest",
        "2018",
        "",
        _of(*TREATMENT_EDITIONS),
    ),
    "preheat.tensile": Field("Specified tensile strength", "strength", "Not given: taken as low", "60 ksi", "415"),
    # materials
    **{name: Field(name, "percent", "Weight percent", "0.01") for name in ELEMENTS},
    "C": Field("Carbon C", "percent", "Weight percent", "0.22"),
    "Mn": Field("Manganese Mn", "percent", "Weight percent", "0.95"),
    "tensile": Field("Tensile strength", "strength", "As tested", "70 ksi", "485"),
    "yield": Field("Yield strength", "strength", "As tested", "45 ksi", "310"),
    "elongation": Field("Elongation", "percent", "As tested", "30"),
    "hardness": Field("Hardness", "number", "Brinell, HBW", "150"),
    "edition": Field("Edition", "choice", "Where a limit changed; not given: newer", NEWER, "", _of(OLDER, NEWER)),
    "rounding": Field(
        "Comparing",
        "choice",
        "Rounded to the limit’s digits, or as reported; not given: rounded",
        ROUNDED,
        "",
        _of(ROUNDED, REPORTED),
    ),  # fmt: skip
    "a_number": Field("A-Number of the deposit", "text", "Of a filler", "1", "", _column("fillers", "a_number")),
    # testing
    "test-pressure.code": Field("Code", "choice", "Not given: B31.3", "B31.3", "", _of(*TEST_CODES)),
    "test-pressure.kind": Field("Test", "choice", "", "hydrostatic", "", _of(*TESTS)),
    "design": Field("Design pressure", "pressure", "The answer is in the same unit", "150", "1000", above=True),
    "st": Field(
        "Allowable stress at test temperature",
        "strength",
        "With the next; bare figures are taken in one unit; not given: ratio 1",
        "20000",
        "138",
        above=True,
    ),
    "test-pressure.nps": Field(
        "Nominal size of the weakest pipe",
        "nps",
        "With schedule and yield strength; not given: yield is not computed",
        "2",
        "DN 50",
        _column("pipe", "nps"),
    ),
    "test-pressure.yield": Field(
        "Least yield strength", "strength", "Of that pipe, at test temperature", "35 ksi", "240", above=True
    ),
    "s": Field(
        "Allowable stress at design temperature",
        "strength",
        "With the one before, in one unit",
        "18000",
        "124",
        above=True,
    ),
}

# Values that a person reads otherwise than with its hyphens taken out.
_WORDS = {
    "elbow-90": "90° elbow (long radius if butt welded)",
    "elbow-45": "45° elbow",
    "elbow-90-short": "90° elbow, short radius",
    "tee-outlet": "tee, at its outlet",
    "reducer": "reducer, by its large end",
    "half-coupling": "half coupling",
    "flange-150": "flange Class 150",
    "flange-300": "flange Class 300",
    "plain": "plain end",
    "lack-of-fusion": "lack of fusion",
    "incomplete-penetration": "incomplete penetration",
    "surface-porosity": "surface porosity",
    "concave-root": "concave root",
    "linear": "linear indication",
    "sensitive": "sensitive leak test",
    "carbon": "carbon steel",
    "austenitic": "austenitic stainless steel",
    "olet": "branch fitting (olet)",
    "older": "older edition",
    "newer": "newer edition",
}


def words(value: str, kind: str = "", units: str = US) -> str:
    """An accepted value as a person reads it: `half coupling`; a size by both systems, that of the units first."""
    if kind != "nps":
        return _WORDS.get(value, value)
    return f"{value} · DN {dn_of(value)}" if units == US else f"DN {dn_of(value)} · NPS {value}"


def field_of(calculator: str, key: str) -> Field:
    """The description of a calculator's key; raises KeyError for one that nobody described."""
    return FIELDS.get(f"{calculator}.{key}") or FIELDS[key]


def faults(calculator: str, values: Mapping[str, str], units: str) -> tuple[Fault, ...]:
    """What is wrong with each value by itself, in the order given; empty values are not judged."""
    given = ((key, text) for key, text in values.items() if text.strip())
    found = (field_of(calculator, key).fault(key, text, units) for key, text in given)
    return tuple(fault for fault in found if fault)
