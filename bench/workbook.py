"""Write the story of a job as a job workbook, row by row, so that any size fits in memory."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime, timedelta
from pathlib import Path

import xlsxwriter

from bench import story
from bench.story import JointStory

Row = Sequence[object]
KEY = ("drawing", "sheet", "joint")
ELEMENTS = ("C", "Mn", "P", "S", "Si", "Cr", "Cu", "Mo", "Ni", "V")
ANALYSIS = (0.19, 0.85, 0.012, 0.008, 0.24, 0.06, 0.1, 0.02, 0.06, 0.003)
TESTED = story.FIRST_DAY - timedelta(days=20)
CODE = "BENCH"


def write(path: Path, *, joints: int, lines: int) -> None:
    """Write a workbook of `joints` joints, each with a fit-up and three passes."""
    options = {"constant_memory": True, "strings_to_formulas": False, "strings_to_urls": False}
    book = xlsxwriter.Workbook(path, options)
    moment, day = (book.add_format({"num_format": text}) for text in ("yyyy-mm-dd hh:mm", "yyyy-mm-dd"))
    for name, rows in sheets(joints, lines):
        page = book.add_worksheet(name)
        for down, row in enumerate(rows):
            for across, value in enumerate(row):
                if isinstance(value, datetime):
                    page.write_datetime(down, across, value, moment)
                elif isinstance(value, date):
                    page.write_datetime(down, across, value, day)
                elif value is not None:
                    page.write(down, across, value)
    book.close()


def sheets(joints: int, lines: int) -> Iterator[tuple[str, Iterable[Row]]]:
    """Yield every sheet by name, with its rows from the header on."""
    yield from _papers()
    yield "Lines", _lines(joints, lines)
    yield "Sheets", _sheets(joints, lines)
    yield "Joints", _joints(joints, lines)
    yield "Fit-ups", _fit_ups(joints, lines)
    yield "Passes", _passes(joints, lines)


def _papers() -> Iterator[tuple[str, Iterable[Row]]]:
    yield (
        "Job",
        [
            ("code", "name", "units", "code of construction", "edition", "time zone", "recording"),
            (CODE, "Invented job of the benchmarks", "US", "ASME B31.3", "2018", "UTC", "parameters"),
        ],
    )
    yield "Procedures", [
        ("procedure", "revision", "P-Number", "processes", "joint kinds", "thickness min", "thickness max", "positions",
         "gap min", "gap max", "squareness max", "high-low max", "passes min", "stop spacing min (degrees)"),
        ("W-1", "0", "1", "GTAW", "socket", "1/16", "1/2", "all", "1/32", "1/8", "1/16", None, 3, 30),
        ("W-2", "0", "1", "GTAW, SMAW", "butt", "1/16", "1/2", "all", "3/32", "5/32", None, "1/16", 3, 30),
    ]  # fmt: skip
    yield (
        "Procedure passes",
        [
            ("procedure", "pass", "process", "filler", "filler diameter", "F-Number", "amps min", "amps max"),
            *(("W-1", role, "GTAW", "ER70S-6", "3/32", "6", 70, 130) for role in story.PASS_ROLES),
            ("W-2", "root", "GTAW", "ER70S-6", "3/32", "6", 70, 130),
            *(("W-2", role, "SMAW", "E7018", "3/32", "4", 70, 130) for role in ("fill", "cap")),
        ],
    )
    yield "Welders", [("stamp", "name"), *((stamp, f"Welder {stamp}") for stamp in story.stamps())]
    yield "Qualifications", [
        ("stamp", "WPQ", "process", "test date", "P-Number", "F-Number", "position", "coupon", "coupon diameter",
         "deposit thickness", "layers", "backing"),
        *_qualifications(),
    ]  # fmt: skip
    yield "Heats", [("heat", "material", "certificate", "analysis", *ELEMENTS), *_heats()]
    yield "Filler lots", [
        ("lot", "classification", "diameter", "certificate"),
        ("W-1", "ER70S-6", "3/32", "C-W1"), ("R-1", "E7018", "3/32", "C-R1"),
    ]  # fmt: skip


def _qualifications() -> Iterator[Row]:
    for stamp in story.stamps():
        if stamp != story.STRANGER:
            yield stamp, f"{stamp}-G", "GTAW", TESTED, "1", "6", "6G", "pipe", "0.840", "0.280", 3, "no"
            yield stamp, f"{stamp}-S", "SMAW", TESTED, "1", "4", "6G", "pipe", "2.375", "0.280", 3, "yes"


def _heats() -> Iterator[Row]:
    for letter, material in (("P", "A106 Gr. B"), ("F", "A105"), ("E", "A234 WPB")):
        for number in range(1, story.HEATS + 1):
            heat = f"{letter}-{number:04}"
            yield heat, material, f"C-{heat}", "heat", *ANALYSIS


def _lines(joints: int, lines: int) -> Iterator[Row]:
    yield "line", "service", "fluid service", "NPS", "schedule", "material"
    for line in dict.fromkeys(joint.line for joint in story.joints(joints, lines)):
        yield line, "Condensate", "Normal", "2", "80", "A106 Gr. B"


def _sheets(joints: int, lines: int) -> Iterator[Row]:
    yield "line", "drawing", "sheet", "revision"
    told = ((joint.line, joint.drawing, joint.sheet) for joint in story.joints(joints, lines))
    for line, drawing, sheet in dict.fromkeys(told):
        yield line, drawing, sheet, "1"


def _joints(joints: int, lines: int) -> Iterator[Row]:
    yield (
        *KEY, "kind", "location", "NPS", "schedule", "heat A", "heat B", "material A", "material B", "class",
        "procedure", "position",
    )  # fmt: skip
    for joint in story.joints(joints, lines):
        yield (
            *_key(joint), joint.kind, joint.location, joint.nps, joint.schedule, joint.heat_a, joint.heat_b,
            "A106 Gr. B", joint.material_b, joint.socket_class or None, joint.procedure, "5G",
        )  # fmt: skip


def _fit_ups(joints: int, lines: int) -> Iterator[Row]:
    yield (
        *KEY, "date", "by", "gap", "squareness", "high-low", "tack stamp", "heat A read", "heat B read", "revision",
    )  # fmt: skip
    for joint in story.joints(joints, lines):
        one = joint.fitting
        yield (
            *_key(joint), one.at, one.by, one.gap, one.squareness, one.high_low, one.stamp, joint.heat_a, joint.heat_b,
            "1",
        )  # fmt: skip


def _passes(joints: int, lines: int) -> Iterator[Row]:
    yield (
        *KEY, "order", "pass", "stamp", "process", "date", "filler lot", "amps", "volts", "travel", "start", "stop",
    )  # fmt: skip
    for joint in story.joints(joints, lines):
        for one in joint.weldings:
            yield (
                *_key(joint), one.order, one.role, one.stamp, one.process, one.at, one.lot, one.amps, one.volts,
                one.travel, one.clock, one.clock,
            )  # fmt: skip


def _key(joint: JointStory) -> tuple[str, str, str]:
    return joint.drawing, joint.sheet, joint.number
