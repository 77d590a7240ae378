"""What the trade calls each calculator for: its group, a sentence, an example, its tables and its caution.

To add a calculator: its function and its row in `rules/compute.py`, its row here, and in `fields.py` and `results.py`
the keys that nobody described yet. Its page, API, paper and place in `docs/calculators.md` follow from these.
"""

from collections.abc import Mapping
from dataclasses import dataclass

SIZES, FITTING, FILLETS = "Sizes and cutting", "Fitting up", "Fillet welds"
WELDING, WELDERS = "Welding", "Welders"
EXAMINING, MATERIALS, TESTING = "Examining", "Materials", "Testing and heating"
GROUPS = (SIZES, FITTING, FILLETS, WELDING, WELDERS, EXAMINING, MATERIALS, TESTING)


@dataclass(frozen=True, slots=True)
class Description:
    """How a calculator is found and told.

    group    one of GROUPS
    about    what it answers, in a sentence
    example  values that it answers, each with its unit so that both unit systems read them alike
    tables   the tables of `rules/tables` whose figures it may use; a job's confirmations are shown for these
    front    the keys that are not needed and yet stand in front; the others wait behind "more"
    caution  the step whose usual cautions stand beside the answer: fit up, weld, examine PWHT, examine leak test
    """

    group: str
    about: str
    example: Mapping[str, str]
    tables: tuple[str, ...] = ()
    caution: str = ""
    front: tuple[str, ...] = ()


DESCRIBED: Mapping[str, Description] = {
    "pipe": Description(
        SIZES,
        "In inch and mm, from the nominal size and the schedule.",
        {"nps": "1-1/2", "schedule": "80"},
        ("pipe",),
    ),
    "cut-length": Description(
        SIZES,
        "What to cut a pipe to between two fittings, their take-outs and gaps taken off.",
        {"nps": "1", "joint": "socket", "centre": "500 mm", "end1": "elbow-90", "end2": "tee", "gap": "1/16 in"},
        ("pipe", "socket_fittings", "buttweld_fittings", "flanges"),
        "fit up",
        ("class", "gap", "root"),
    ),
    "tolerance-stack": Description(
        SIZES,
        "How far a centre distance can be out by the fittings' own tolerances.",
        {"nps": "1", "joint": "socket", "end1": "elbow-90", "end2": "tee"},
        ("socket_fittings", "buttweld_fittings"),
    ),
    "diameter-inches": Description(
        SIZES,
        "The trade's measure of quantity: nominal sizes in inches (NPS) summed over joints.",
        {"joints": "1-1/2 x 12, 2 x 4"},
    ),
    "least-passes": Description(
        WELDING,
        "The least number of passes, from the most that one lays down; each assumption is shown.",
        {"process": "SMAW", "thickness": "12 mm", "specified": "2"},
        ("deposition",),
        front=("thickness", "leg"),
    ),
    "stop-spacing": Description(
        WELDING,
        "How near starts or stops of neighbouring passes come round the dial.",
        {"stops": "12, 4:30, 9", "spacing": "30", "nps": "2"},
        ("pipe",),
    ),
    "filler-needed": Description(
        WELDING,
        "Filler for joints: cross-section x length x density / deposition efficiency.",
        {"section": "fillet", "nps": "1", "schedule": "80", "process": "GTAW", "leg": "6 mm", "joints": "12"},
        ("pipe", "densities", "deposition"),
        front=("joints", "leg", "root"),
    ),
    "procedure-check": Description(
        WELDING,
        "Whether a procedure covers a joint, and if not, every reason.",
        {"joint_kind": "butt", "nps": "4", "schedule": "40", "p": "1", "wps_p": "1", "wps_preheat": "10 C"},
        ("pipe", "preheat_b31_3", "heat_treatment_b31_3", "fillers"),
        front=(
            "p",
            "position",
            "process",
            "thickness",
            "wps_p",
            "wps_thickness_min",
            "wps_thickness_max",
            "wps_positions",
            "wps_processes",
        ),
    ),
    "sample-size": Description(
        EXAMINING,
        "How many welds of a lot to examine so that every welder, or every type of weld by each, has one.",
        {"share": "5", "welds": "A1 butt 40, A1 socket 9, B2 butt 12"},
        ("examination_extent_b31_3",),
    ),
    "surface-indications": Description(
        EXAMINING,
        "Whether indications by penetrant or magnetic particles are accepted.",
        {"method": "PT", "rounded": "1.5 mm, 3 mm", "in_line": "2"},
        ("surface_acceptance_b31_3",),
        front=("rounded", "linear", "in_line"),
    ),
    "insertion": Description(
        FITTING,
        "How deep a pipe goes into its socket, and where the witness mark still shows when it is backed off.",
        {"nps": "1", "class": "3000", "schedule": "80", "gap": "1/16 in"},
        ("socket_fittings", "pipe", "gap_before_welding"),
        "fit up",
        front=("gap", "schedule"),
    ),
    "gap": Description(
        FITTING,
        "Whose figure holds for the gap before welding: the code's, the procedure's or the owner's.",
        {"measured": "3 mm", "owner": "PS-104", "clause": "5.2", "owner_min": "1.5 mm", "owner_max": "3 mm"},
        ("gap_before_welding",),
        "fit up",
        ("owner", "owner_min", "owner_max"),
    ),
    "gap-round": Description(
        FITTING,
        "The least and greatest gap lie between the readings at 12, 3, 6 and 9.",
        {"gap_12": "3 mm", "gap_3": "2 mm", "gap_6": "1 mm", "gap_9": "2 mm"},
    ),
    "crooked-cut": Description(
        FITTING,
        "What a cut out of square does to the gap all round.",
        {"out_of_square": "1 mm", "gap": "1.5 mm"},
        ("gap_before_welding", "pipe"),
        "fit up",
    ),
    "squareness": Description(
        FITTING,
        "Whether two members are square: the two inside measurements agree.",
        {"one": "500 mm", "other": "501 mm"},
    ),
    "socket-growth": Description(
        FITTING,
        "Whether a pipe that warms before its fitting still has a gap in the socket.",
        {"nps": "1", "class": "3000", "material": "carbon", "from": "70 F", "to": "300 F", "gap": "1.5 mm"},
        ("socket_fittings", "expansion_b31_3", "gap_before_welding"),
        front=("gap", "socket_to"),
    ),
    "thermal-growth": Description(
        SIZES,
        "How much longer a run becomes between two temperatures.",
        {"material": "carbon", "from": "70 F", "to": "300 F", "length": "10 m"},
        ("expansion_b31_3",),
    ),
    "socket-leg": Description(
        FILLETS,
        "1.09 times the pipe's wall, not over the socket's.",
        {"nps": "1", "schedule": "80", "class": "3000"},
        ("pipe", "socket_fittings"),
    ),
    "flange-leg": Description(
        FILLETS,
        "Of a slip-on or socket-welding flange, at its hub or its face.",
        {"nps": "2", "schedule": "40", "hub": "5 mm"},
        ("pipe",),
    ),
    "throat": Description(
        FILLETS,
        "The throat of a fillet from its legs, and the size of a concave one from its throat.",
        {"leg1": "6 mm", "leg2": "8 mm"},
    ),
    "heat-input": Description(
        WELDING,
        "Arc energy from volts, amps and travel; with a process the heat input too.",
        {"volts": "12", "amps": "110", "travel": "80 mm/min", "process": "GTAW"},
        ("heat_input_factors",),
        "weld",
    ),
    "preheat": Description(
        WELDING,
        "The temperature of the metal before welding, by edition.",
        {"p": "4", "thickness": "12 mm", "edition": "2018"},
        ("preheat_b31_3",),
        "weld",
    ),
    "welder-range": Description(
        WELDERS,
        "What a performance test covers, and whether it covers one joint.",
        {
            "process": "GTAW",
            "weld": "groove",
            "coupon": "pipe",
            "position": "6G",
            "deposit": "5.5 mm",
            "od": "60.3 mm",
            "joint_kind": "socket",
            "joint_od": "33.4 mm",
            "joint_position": "overhead",
        },
        ("diameters_qw452_3", "deposit_qw452_1b", "positions_qw461_9", "p_numbers_qw423", "f_numbers_qw433"),
        front=("od", "layers", "joint_kind", "joint_od", "joint_position"),
    ),
    "continuity": Description(
        WELDERS,
        "The day on which a process lapses if it is not used again.",
        {"last_used": "2026-03-31", "as_of": "2026-09-15", "process": "GTAW"},
    ),
    "imperfection-limit": Description(
        EXAMINING,
        "The limit of an imperfection by service and weld, and whether what was measured is accepted.",
        {"service": "Normal", "weld": "girth", "kind": "undercut", "wall": "6.02 mm", "measured": "0.4 mm"},
        ("acceptance_b31_3", "acceptance_limits_b31_3", "linear_indications_b31_3", "rounded_indications_viii_4"),
        front=("measured", "length", "width"),
    ),
    "examination-extent": Description(
        EXAMINING,
        "Of a lot, by fluid service: radiography, by eye, penetrant or magnetic particles.",
        {"service": "Normal", "girth": "100", "socket": "20", "welders": "3"},
        ("examination_extent_b31_3",),
        front=("welders", "branch"),
    ),
    "progressive": Description(
        EXAMINING,
        "How many more welds to examine after a reject, round by round.",
        {"rejects": "1", "rounds": "pass,fail", "available": "12"},
    ),
    "certificate-check": Description(
        MATERIALS,
        "A certificate held against its material's limits; what it does not give is not judged.",
        {"material": "A106 Gr B", "C": "0.22", "Mn": "1.05", "P": "0.012", "S": "0.009", "tensile": "482 MPa"},
        ("certificates",),
        front=("C", "Mn", "P", "S", "Si", "tensile", "yield", "elongation"),
    ),
    "carbon-equivalent": Description(
        MATERIALS,
        "CE (IIW) and Pcm of an analysis.",
        {"C": "0.22", "Mn": "0.95", "Si": "0.25"},
        front=("Si", "Cr", "Cu", "Mo", "Ni", "V"),
    ),
    "test-pressure": Description(
        TESTING,
        "The pressure of a leak test and the setting of its relief.",
        {"kind": "hydrostatic", "design": "150 psi", "st": "20000", "s": "18000"},
        ("leak_test_b31_3", "leak_test_b31_1", "pipe"),
        "examine leak test",
        front=("nps", "schedule", "yield"),
    ),
    "heat-treatment": Description(
        TESTING,
        "Whether heat treatment is required after welding, at what temperature and how long.",
        {"p": "4", "thickness": "20 mm", "edition": "2018", "preheat": "150 C"},
        ("heat_treatment_b31_3",),
        "examine PWHT",
        front=("edition", "preheat", "layers"),
    ),
}
