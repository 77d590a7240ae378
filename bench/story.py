"""An invented job of any size, told joint by joint: clean, but for one joint in fifty that has a problem.

Everything follows from the joint's number, so the workbook and the database tell the same story every time.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

FIRST_DAY = date(2024, 3, 4)
DAYS = 120
WELDERS = 20
HEATS = 200
JOINTS_A_SHEET = 25  # at most
ONE_IN = 50
SICK = 48  # a socket joint, which every problem can befall
PROBLEMS = ("gap", "amps", "filler", "squareness", "stranger")
STRANGER = "Z99"
PASS_ROLES = ("root", "fill", "cap")

# Sizes by joint kind, each (NPS, schedule).
SOCKET_SIZES = (("1/2", "80"), ("3/4", "80"), ("1", "80"), ("1-1/2", "80"), ("2", "80"))
BUTT_SIZES = (("2", "40"), ("3", "40"), ("4", "40"), ("6", "40"))


@dataclass(frozen=True, slots=True)
class Welding:
    """One pass of a joint."""

    order: int
    role: str
    stamp: str
    process: str
    at: datetime
    lot: str
    amps: int
    volts: int
    travel: int
    clock: str


@dataclass(frozen=True, slots=True)
class Fitting:
    """The fit-up of a joint; lengths in inches as they are typed."""

    at: datetime
    by: str
    gap: str
    squareness: str | None
    high_low: str | None
    stamp: str


@dataclass(frozen=True, slots=True)
class JointStory:
    """One joint of the story: where it stands, what it is, and what was done."""

    line: str
    drawing: str
    sheet: str
    number: str
    kind: str
    location: str
    nps: str
    schedule: str
    heat_a: str
    heat_b: str
    material_b: str
    socket_class: str
    procedure: str
    problem: str
    fitting: Fitting
    weldings: list[Welding] = field(default_factory=list)


def joints(count: int, lines: int) -> Iterator[JointStory]:
    """Tell `count` joints on `lines` lines, in the order of their lines; a line of several has two sheets or more."""
    a_line = -(-count // lines)
    a_sheet = min(JOINTS_A_SHEET, -(-a_line // 2))
    for index in range(count):
        line, place = divmod(index, a_line)
        yield _joint(index, line, *divmod(place, a_sheet))


def stamps() -> list[str]:
    """The stamps of the job's welders, the one without a qualification last."""
    return [f"A{number}" for number in range(1, WELDERS + 1)] + [STRANGER]


def _joint(index: int, line: int, sheet: int, number: int) -> JointStory:
    kind = "butt" if index % 5 == 4 else "socket"
    sizes = BUTT_SIZES if kind == "butt" else SOCKET_SIZES
    nps, schedule = sizes[index % len(sizes)]
    problem = PROBLEMS[index // ONE_IN % len(PROBLEMS)] if index % ONE_IN == SICK else ""
    day = FIRST_DAY + timedelta(days=index % DAYS)
    return JointStory(
        line=f"L-{line + 1:04}",
        drawing=f"ISO-{line + 1:04}",
        sheet=str(sheet + 1),
        number=str(number + 1),
        kind=kind,
        location="field" if index % 3 == 2 else "shop",
        nps=nps,
        schedule=schedule,
        heat_a=f"P-{index % HEATS + 1:04}",
        heat_b=f"F-{index % HEATS + 1:04}" if kind == "socket" else f"E-{index % HEATS + 1:04}",
        material_b="A105" if kind == "socket" else "A234 WPB",
        socket_class="3000" if kind == "socket" else "",
        procedure="W-1" if kind == "socket" else "W-2",
        problem=problem,
        fitting=_fitting(index, kind, day, problem),
        weldings=_weldings(index, kind, day, problem),
    )


def _fitting(index: int, kind: str, day: date, problem: str) -> Fitting:
    gap = "1/4" if problem == "gap" else "1/8" if kind == "butt" else "1/16"
    squareness = None if kind == "butt" else "1/8" if problem == "squareness" else "1/32"
    return Fitting(
        _at(day, 8), f"Fitter {index % 7 + 1}", gap, squareness, "1/32" if kind == "butt" else None, _stamp(index)
    )


def _weldings(index: int, kind: str, day: date, problem: str) -> list[Welding]:
    found = []
    for place, role in enumerate(PASS_ROLES):
        by_rod = kind == "butt" and role != "root"
        strange = problem == "stranger" and role == "cap"
        found.append(
            Welding(
                order=place + 1,
                role=role,
                stamp=STRANGER if strange else _stamp(index),
                process="SMAW" if by_rod else "GTAW",
                at=_at(day, 9 + place),
                lot="R-1" if by_rod or (problem == "filler" and role == "root") else "W-1",
                amps=190 if problem == "amps" and role == "root" else 100,
                volts=22 if by_rod else 12,
                travel=4,
                clock=("12", "6", "3")[place],
            )
        )
    return found


def _stamp(index: int) -> str:
    return f"A{index % WELDERS + 1}"


def _at(day: date, hour: int) -> datetime:
    """A time as a cell of the job's own time zone, UTC."""
    return datetime(day.year, day.month, day.day, hour)  # noqa: DTZ001
