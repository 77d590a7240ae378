"""The five welding procedures of the demonstration, their passes, and the filler that was bought for them."""

from demo.works import CARBON, STAINLESS, Row

PROCEDURE_OF = {
    (CARBON, "socket"): "W-11",
    (CARBON, "butt"): "W-12",
    (CARBON, "branch"): "W-12",
    (CARBON, "olet"): "W-12",
    (CARBON, "slip-on"): "W-13",
    (CARBON, "pad"): "W-13",
    (STAINLESS, "socket"): "W-81",
    (STAINLESS, "slip-on"): "W-81",
    (STAINLESS, "butt"): "W-82",
    (STAINLESS, "olet"): "W-82",
}

_ALL, _NO_OVERHEAD = "all", "flat, horizontal, vertical"
# number, revision, P-Number, processes, PQR, kinds, gap min, gap max, least passes, interpass, positions
_PROCEDURES = (
    ("W-11", "2", "1", "GTAW", "R-11", "socket, seal", "1/32", "1/8", 2, "500 F", _ALL),
    ("W-12", "3", "1", "GTAW, SMAW", "R-12, R-14", "butt, branch, olet", "3/32", "5/32", 4, "500 F", _ALL),
    ("W-13", "1", "1", "FCAW", "R-13", "slip-on, pad, attachment", "0", "1/8", 2, "500 F", _NO_OVERHEAD),
    ("W-81", "1", "8", "GTAW", "R-81", "socket, slip-on, seal", "1/32", "1/8", 2, "350 F", _ALL),
    ("W-82", "2", "8", "GTAW", "R-81", "butt, olet", "1/16", "1/8", 3, "175 C", _ALL),
)
PROCEDURES: list[Row] = [
    {
        "procedure": number,
        "revision": revision,
        "P-Number": p_number,
        "processes": processes,
        "PQR": pqr,
        "joint kinds": kinds,
        "thickness min": "1/16",
        "thickness max": "3/4",
        "deposit max": "3/4",
        "outside diameter min": "0.84" if number == "W-82" else None,
        "positions": positions,
        "progression": "up",
        "preheat min": "50 F",
        "interpass max": interpass,
        "gap min": gap_min,
        "gap max": gap_max,
        "squareness max": "1/16",
        "high-low max": "1/16" if number in ("W-12", "W-82") else None,
        "passes min": least,
        "stop spacing min (degrees)": 30,
        "PWHT": "none",
    }
    for number, revision, p_number, processes, pqr, kinds, gap_min, gap_max, least, interpass, positions in _PROCEDURES
]

_ARGON, _MIX = "100 % argon", "75 % argon, 25 % carbon dioxide"
# procedure, pass, process, filler, diameter, F-Number, polarity, gas, amps, volts, travel
_PASSES = (
    ("W-11", "root", "GTAW", "ER70S-6", "3/32", "6", "DCEN", _ARGON, (70, 130), (9, 14), (2, 6)),
    ("W-11", "cap", "GTAW", "ER70S-6", "3/32", "6", "DCEN", _ARGON, (80, 140), (9, 14), (2, 6)),
    ("W-12", "root", "GTAW", "ER70S-2", "3/32", "6", "DCEN", _ARGON, (80, 140), (9, 14), (2, 5)),
    ("W-12", "hot", "GTAW", "ER70S-2", "3/32", "6", "DCEN", _ARGON, (90, 150), (9, 14), (2, 6)),
    ("W-12", "fill", "SMAW", "E7018", "3/32", "4", "DCEP", None, (70, 120), (20, 26), (3, 8)),
    ("W-12", "cap", "SMAW", "E7018", "3/32", "4", "DCEP", None, (70, 120), (20, 26), (3, 8)),
    ("W-13", "root", "FCAW", "E71T-1C", "0.045", "6", "DCEP", _MIX, (150, 230), (22, 28), (6, 15)),
    ("W-13", "cap", "FCAW", "E71T-1C", "0.045", "6", "DCEP", _MIX, (160, 240), (22, 28), (6, 15)),
    ("W-81", "root", "GTAW", "ER316L", "1/16", "6", "DCEN", _ARGON, (50, 100), (9, 13), (2, 6)),
    ("W-81", "cap", "GTAW", "ER316L", "1/16", "6", "DCEN", _ARGON, (60, 110), (9, 13), (2, 6)),
    ("W-82", "root", "GTAW", "ER316L", "3/32", "6", "DCEN", _ARGON, (60, 110), (9, 13), (2, 5)),
    ("W-82", "hot", "GTAW", "ER316L", "3/32", "6", "DCEN", _ARGON, (70, 120), (9, 13), (2, 6)),
    ("W-82", "cap", "GTAW", "ER316L", "3/32", "6", "DCEN", _ARGON, (70, 125), (9, 13), (2, 6)),
)
PROCEDURE_PASSES: list[Row] = [
    {
        "procedure": procedure,
        "pass": role,
        "process": process,
        "filler": filler,
        "filler diameter": diameter,
        "F-Number": f_number,
        "polarity": polarity,
        "shielding gas": gas,
        "amps min": amps[0],
        "amps max": amps[1],
        "volts min": volts[0],
        "volts max": volts[1],
        "travel min": travel[0],
        "travel max": travel[1],
    }
    for procedure, role, process, filler, diameter, f_number, polarity, gas, amps, volts, travel in _PASSES
]

FILLER_LOTS: list[Row] = [
    {"lot": lot, "classification": filler, "diameter": diameter, "heat": heat, "certificate": f"FC-{lot}"}
    for lot, filler, diameter, heat in (
        ("L-7061", "ER70S-6", "3/32", "W40117"),
        ("L-7062", "ER70S-6", "3/32", "W40388"),
        ("L-7021", "ER70S-2", "2.4 mm", "W39902"),
        ("L-1801", "E7018", "3/32", "W41250"),
        ("L-1802", "E7018", "3/32", "W41251"),
        ("L-7111", "E71T-1C", "0.045", "W38844"),
        ("L-3161", "ER316L", "1/16", "W50071"),
        ("L-3162", "ER316L", "3/32", "W50072"),
    )
]

_ROLES = {name: [row[1] for row in _PASSES if row[0] == name] for name in ("W-11", "W-12", "W-13", "W-81", "W-82")}


def roles_of(procedure: str) -> list[str]:
    """The passes of a procedure in the order of welding."""
    return _ROLES[procedure]


def pass_of(procedure: str, role: str) -> Row:
    """The row of the pass table for one pass of a procedure."""
    return next(row for row in PROCEDURE_PASSES if (row["procedure"], row["pass"]) == (procedure, role))


def lot_for(procedure: str, role: str, turn: int) -> str:
    """A filler lot that fits the pass; `turn` alternates between lots of one filler."""
    wanted = pass_of(procedure, role)
    same = [str(lot["lot"]) for lot in FILLER_LOTS if lot["classification"] == wanted["filler"]]
    if wanted["filler"] == "ER316L":
        return "L-3161" if wanted["filler diameter"] == "1/16" else "L-3162"
    return same[turn % len(same)]
