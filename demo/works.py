"""The invented works: job, lines, people, procedures, filler and exam plans of the demonstration."""

from datetime import date

Row = dict[str, object]

JOB: Row = {
    "code": "OB-2604",
    "name": "Brine and glycol skid with hot-oil tie-in",
    "client": "Orlembrook Salts",
    "site": "Orlembrook Works, Tarrow Flats",
    "units": "US",
    "code of construction": "ASME B31.3",
    "edition": "2018",
    "time zone": "America/Denver",
    "recording": "pass",
}

CARBON, STAINLESS = "carbon", "stainless"

# line: service, fluid service, NPS, schedule, steel, how it is joined, exam plan, class, pressure, temperature
_LINES = (
    ("BR-101", "Brine supply", "Normal", "3", "40S", STAINLESS, "butt", "S10", "S15", "150 psi", "120 F"),
    ("BR-102", "Brine return", "Normal", "2", "40S", STAINLESS, "butt", "S10", "S15", "150 psi", "120 F"),
    ("BR-103", "Brine sampling", "Normal", "3/4", "80S", STAINLESS, "socket", "S10", "S15", "150 psi", "120 F"),
    ("GL-201", "Glycol supply", "Normal", "4", "40", CARBON, "butt", "N10", "C15", "120 psi", "200 F"),
    ("GL-202", "Glycol return", "Normal", "4", "40", CARBON, "butt", "N10", "C15", "8 bar", "95 C"),
    ("GL-203", "Glycol pump bypass", "Normal", "1-1/2", "80", CARBON, "socket", "N10", "C15", "120 psi", "200 F"),
    ("HO-301", "Hot oil supply", "Normal", "3", "80", CARBON, "butt", "N100", "C30", "250 psi", "550 F"),
    ("HO-302", "Hot oil return", "Normal", "6", "40", CARBON, "butt", "N10", "C30", "250 psi", "550 F"),
    ("HO-303", "Hot oil drains and vents", "Normal", "1", "80", CARBON, "socket", "N10", "C30", "250 psi", "550 F"),
    ("PW-401", "Plant water", "Category D", "2", "40", CARBON, "butt", "D1", "C10", "100 psi", "100 F"),
    ("NI-501", "Nitrogen blanket", "Normal", "1/2", "80S", STAINLESS, "socket", "S10", "S15", "100 psi", "100 F"),
    ("DR-601", "Drain header", "Normal", "2", "80", CARBON, "socket", "N10", "C15", "120 psi", "200 F"),
)

MATERIAL_OF_LINE = {CARBON: "A106 Gr. B", STAINLESS: "A312 TP316L"}
STEEL_OF_LINE = {line[0]: line[5] for line in _LINES}
JOINING_OF_LINE = {line[0]: line[6] for line in _LINES}
SIZE_OF_LINE = {line[0]: (line[3], line[4]) for line in _LINES}
PLAN_OF_LINE = {line[0]: line[7] for line in _LINES}

# line: the days between which it was to be welded
_PLANNED = {
    "BR-101": (date(2026, 8, 10), date(2026, 9, 25)),
    "BR-102": (date(2026, 9, 21), date(2026, 10, 16)),
    "BR-103": (date(2026, 10, 5), date(2026, 10, 30)),
    "GL-201": (date(2026, 8, 17), date(2026, 10, 9)),
    "GL-202": (date(2026, 9, 14), date(2026, 10, 16)),
    "GL-203": (date(2026, 8, 31), date(2026, 10, 2)),
    "HO-301": (date(2026, 8, 3), date(2026, 9, 11)),
    "HO-302": (date(2026, 8, 10), date(2026, 10, 2)),
    "HO-303": (date(2026, 8, 24), date(2026, 10, 16)),
    "PW-401": (date(2026, 8, 31), date(2026, 9, 18)),
    "NI-501": (date(2026, 11, 2), date(2026, 12, 11)),
    "DR-601": (date(2026, 9, 7), date(2026, 10, 23)),
}

LINES: list[Row] = [
    {
        "line": number,
        "service": service,
        "fluid service": fluid,
        "NPS": nps,
        "schedule": schedule,
        "material": MATERIAL_OF_LINE[steel],
        "severe cyclic": "no",
        "elevated temperature": "no",
        "piping class": piping_class,
        "design pressure": pressure,
        "design temperature": temperature,
        "exam plan": plan,
        "planned start": _PLANNED[number][0],
        "planned finish": _PLANNED[number][1],
    }
    for number, service, fluid, nps, schedule, steel, _, plan, piping_class, pressure, temperature in _LINES
]

MATERIALS: list[Row] = [{"material": "A516 Gr. 70", "P-Number": "1", "group": "2"}]

# The owner's word on what no code limits, and one figure that is stricter than the table's.
_OWNERS = "Orlembrook Salts PS-110"
SPECIFICATION: list[Row] = [
    {"limit": limit, "figure": figure, "specification": _OWNERS, "clause": clause, "joint kind": kind}
    for limit, figure, clause, kind in (
        ("gap on film min", "1/64 in", "6.4", "socket"),
        ("gap on film max", "1/8 in", "6.4", "socket"),
        ("stop spacing min", "30 deg", "6.6", None),
        ("reinforcement max", "1/16 in", "6.8", "groove"),
        ("repairs max", "2", "8.2", None),
    )
]

_TABLE, _PENETRANT = "B31.3 Table 341.3.2", "B31.3 344.4.2"
_PLANS = (
    ("N10", "all", "VT", 100, _TABLE),
    ("N10", "butt", "RT", 10, _TABLE, "line"),
    ("N100", "all", "VT", 100, _TABLE),
    ("N100", "butt", "RT", 100, _TABLE),
    ("S10", "all", "VT", 100, _TABLE),
    ("S10", "socket", "PT", 100, _PENETRANT),
    ("S10", "butt", "RT", 10, _TABLE),
    ("D1", "all", "VT", 100, _TABLE),
)
EXAM_PLANS: list[Row] = [
    {"plan": plan, "joint kind": kind, "method": method, "share": share, "lot basis": basis[0] if basis else None}
    | {"acceptance": acceptance, "stage": "final"}
    for plan, kind, method, share, acceptance, *basis in _PLANS
]

# The steps at which the owner's inspector is awaited, by the inspection and test plan of the pump bypass.
WITNESSED_LINE, AT_FIT_UP, AT_RELEASE = "GL-203", "3.1", "4.2"
HOLD_POINTS: list[Row] = [
    {"point": point, "step": step, "kind": kind, "line": WITNESSED_LINE, "document": "ITP-OB-2604-03"}
    for point, step, kind in ((AT_FIT_UP, "fit-up", "witness"), (AT_RELEASE, "release", "hold"))
]

EMPLOYER = "Dunmarrow Pipe Shop"
_WELDERS = (
    ("D04", "Wendel Pryce", date(2024, 3, 4), ""),
    ("D07", "Ilka Torvend", date(2023, 9, 11), ""),
    ("D11", "Osric Banefield", date(2022, 5, 16), ""),
    ("D12", "Marta Quellin", date(2024, 8, 19), "welder"),
    ("D15", "Josun Ferrick", date(2025, 1, 6), ""),
    ("D18", "Petra Aldous", date(2026, 4, 20), ""),
    ("D21", "Hamish Corro", date(2024, 11, 4), "hamish"),
    ("D23", "Lorne Vasket", date(2025, 3, 10), ""),
)
WELDERS: list[Row] = [
    {"stamp": stamp, "name": name, "employer": EMPLOYER, "from": since, "to": None, "sign-in": sign_in or None}
    for stamp, name, since, sign_in in _WELDERS
]

# stamp, WPQ, process, tested, F-Number, position, coupon, coupon diameter, deposit, layers, backing, operation
_QUALIFICATIONS = (
    ("D04", "Q-04-G", "GTAW", date(2025, 4, 10), "6", "6G", "pipe", "2.375", "0.344", 5, "no", "manual"),
    ("D07", "Q-07-G", "GTAW", date(2025, 4, 14), "6", "6G", "pipe", "6.625", "3/16", 2, "no", "manual"),
    ("D07", "Q-07-S", "SMAW", date(2025, 4, 14), "4", "6G", "pipe", "6.625", "0.245", 3, "yes", "manual"),
    ("D11", "Q-11-G", "GTAW", date(2025, 4, 21), "6", "6G", "pipe", "60.3 mm", "4.8 mm", 2, "no", "manual"),
    ("D11", "Q-11-S", "SMAW", date(2025, 4, 21), "4", "6G", "pipe", "60.3 mm", "6.2 mm", 3, "yes", "manual"),
    ("D12", "Q-12-G1", "GTAW", date(2025, 4, 28), "6", "6G", "pipe", "1.315", "0.179", 3, "no", "manual"),
    ("D12", "Q-12-G8", "GTAW", date(2025, 4, 29), "6", "6G", "pipe", "2.375", "0.154", 3, "no", "manual"),
    ("D15", "Q-15-F", "FCAW", date(2025, 5, 5), "6", "6G", "pipe", "6.625", "0.432", 4, "no", "semiautomatic"),
    ("D15", "Q-15-S", "SMAW", date(2025, 5, 6), "4", "6G", "pipe", "6.625", "0.432", 5, "yes", "manual"),
    ("D18", "Q-18-F", "FCAW", date(2026, 5, 12), "6", "3G", "plate", None, "3/8", 4, "yes", "semiautomatic"),
    ("D21", "Q-21-G", "GTAW", date(2025, 5, 12), "6", "6G", "pipe", "0.84", "0.147", 3, "no", "manual"),
    ("D23", "Q-23-G", "GTAW", date(2025, 4, 10), "6", "6G", "pipe", "2.375", "0.218", 3, "no", "manual"),
)
QUALIFICATIONS: list[Row] = [
    {
        "stamp": stamp,
        "WPQ": wpq,
        "process": process,
        "test date": tested,
        "P-Number": "8" if wpq.endswith("G8") else "1",
        "F-Number": f_number,
        "position": position,
        "coupon": coupon,
        "coupon diameter": diameter,
        "deposit thickness": deposit,
        "weld": "groove",
        "layers": layers,
        "backing": backing,
        "progression": "up",
        "operation": operation,
        "qualifying employer": EMPLOYER,
        "status": "active",
    }
    for stamp, wpq, process, tested, f_number, position, coupon, diameter, deposit, layers, backing, operation in (
        _QUALIFICATIONS
    )
]

_KEPT_UP = ("2025-09-22", "2026-02-16", "2026-07-08")
LAPSED_STAMP = "D23"  # last used in February: lapsed on 12 August 2026


def _continuity() -> list[Row]:
    rows: list[Row] = []
    for stamp, process in dict.fromkeys((q[0], q[2]) for q in _QUALIFICATIONS):
        days = ("2025-09-22", "2026-02-12") if stamp == LAPSED_STAMP else _KEPT_UP
        if stamp == "D18":
            days = ("2026-07-08",)
        rows += [{"stamp": stamp, "process": process, "date": day, "evidence": "Shop weld log"} for day in days]
    return rows


CONTINUITY = _continuity()

VISUAL, RADIOGRAPHER, EXPIRED = "Ansel Brightwater", "Corwin Laszlo", "Gerda Osmund"
EXAMINERS: list[Row] = [
    {"name": name, "method": method, "level": level, "valid until": until, "employer": employer, "certificate": paper}
    for name, method, level, until, employer, paper in (
        (VISUAL, "VT", "II", date(2028, 6, 30), EMPLOYER, "EX-VT-014"),
        (VISUAL, "PT", "II", date(2028, 6, 30), EMPLOYER, "EX-PT-014"),
        (RADIOGRAPHER, "RT", "II", date(2028, 3, 31), "Fennwick Radiography", "EX-RT-207"),
        (EXPIRED, "VT", "II", date(2026, 10, 15), EMPLOYER, "EX-VT-009"),
    )
]
ENGINEER, FOREMAN, FITTERS = "Elspeth Ravn", "Gregor Stane", ("Nils Okerby", "Sefa Trond")
OWNERS_INSPECTOR = "Tobin Harle"
