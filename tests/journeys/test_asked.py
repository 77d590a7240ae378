"""The comparator of a device without signal against the site's own: the same figures read, the same departures."""

import random
from collections.abc import Callable, Iterator
from dataclasses import asdict, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import partial
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from joints.forms.carried import of_form
from joints.forms.quantities import with_point
from joints.measures import EXAMINATION, FIT_UP, PASS, PLACES
from records.canonical import plain
from rules import units as trade
from rules.compare import applies, departs, dial_apart
from rules.coverage import is_all_round
from rules.facts import ExaminerFacts, JobFacts
from rules.finding import Requirement
from rules.judge import requirements
from tests.rules.cast import (
    JOB,
    PROCEDURE,
    SI_JOB,
    WELDED,
    D,
    butt,
    examination,
    fit_up,
    people,
    planned,
    procedure_pass,
    qualification,
    weld_pass,
    welder,
)

pytestmark = pytest.mark.journey
SCRIPTS = Path(__file__).resolve().parents[2] / "weldtrack" / "static" / "js"
DRAWS = 2000
READERS: dict[str, Callable[[str, str], Decimal]] = {
    "mm": trade.parse_length,
    "°C": trade.parse_temperature,
    "mm/min": trade.parse_travel,
    "A": lambda text, units: trade.parse_current(text),
    "V": lambda text, units: trade.parse_voltage(text),
    "s": lambda text, units: trade.parse_duration(text),
    "clock": lambda text, units: trade.parse_clock(text),
}
NUMBERS = (
    "0",
    "1",
    "3",
    "12",
    "13",
    "12.99",
    "4.5",
    ".5",
    "7.",
    "1,6",
    "0,125",
    "1,600",
    "1,234.5",
    "-3",
    "+4",
    "1e3",
    "99999999999999",
    "x",
    "",
    "9999",
)
FRACTIONS = (
    "1/8",
    "3-3/8",
    "3 3/8",
    "1/3",
    "5/32",
    "2-1/64",
    "7/0",
    "½",
    "1½",
    "3-⅜",
    "2' 3-1/2\"",
    "2’ 3½”",
    "2' 3''",
    "１／８",
    "３．５",
    "１,６",
    "２＇３＂",
    "1 ft 6 in",
    "1/4 mm",
)
SIGNS = (
    "in",
    "in.",
    "inch",
    '"',
    "″",
    "mm",
    "cm",
    "m",
    "ft",
    "'",
    "F",
    "°F",
    "deg C",
    "C",
    "°",
    "celsius",
    "A",
    "amps",
    "kA",
    "V",
)
MORE_SIGNS = ("s", "min", "h", "ipm", "in/min", "mm/s", "cm / min", "mA", "km", "DEG F", "cel sius", "constructor")
COLONS = ("1:30", "4:30", "12:00", "12:59", "0:05", "13:00", "4:60", "90:00", "4 : 30")
READ = """([texts, unit, how]) => texts.map((text) => {
  const value = quantity.read(text, unit, how);
  return value === undefined ? null : `${value.above}/${value.below}`;
})"""
# Figures come as texts; everything else of a record is as it is.
HELD = """([asks, records, figures]) => {
  const made = (record) => Object.fromEntries(Object.entries(record).map(([name, value]) => [name,
    value === null ? undefined : Array.isArray(value) ? value.map(quantity.exact) : figures.includes(name) ? quantity.exact(value) : value]));
  return records.map(([record, before]) => asked.departures(asks, made(record), before.map(made)).map(([one, { value, bound }]) =>
    [asks.indexOf(one), typeof value === "object" ? `${value.above}/${value.below}` : value, bound ?? ""]));
}"""


@pytest.fixture(scope="module")
def device(browser: Browser) -> Iterator[Page]:
    """A page with the device's scripts and nothing else."""
    page = browser.new_page()
    for name in ("quantity.js", "asked.js"):
        page.add_script_tag(path=SCRIPTS / name)
    yield page
    page.close()


def texts(rng: random.Random) -> list[str]:
    """What somebody may type: figures with and without units, and what is none."""
    signs = (*SIGNS, *MORE_SIGNS)
    drawn = [
        f"{rng.choice((*NUMBERS, *FRACTIONS))}{rng.choice(('', ' ', '  '))}{rng.choice(('', *signs))}"
        for _ in range(DRAWS)
    ]
    known = [f"{number}{gap}{sign}" for number in ("12", "4.5", "3/8") for gap in ("", " ") for sign in signs]
    return list(dict.fromkeys((*drawn, *known, *COLONS, *NUMBERS, *FRACTIONS)))


@pytest.mark.parametrize("units", ["US", "SI"])
@pytest.mark.parametrize("unit", READERS)
def test_a_device_reads_a_figure_as_the_site_does(device: Page, unit: str, units: str) -> None:
    typed = texts(random.Random(f"{unit} {units}"))
    how = of_form(units)
    found = device.evaluate(READ, [typed, unit, how])
    expected = [_read(partial(READERS[unit], units=units), text) for text in typed]
    differ = [
        (text, one, other)
        for text, one, other in zip(typed, found, expected, strict=True)
        if (one and Fraction(one)) != other
    ]
    assert not differ
    assert sum(one is not None for one in expected) > 20, "figures of this unit are among what was typed"


def _read(parse: Callable[[str], Decimal], text: str) -> Fraction | None:
    try:
        return Fraction(parse(with_point(text).strip()))
    except trade.UnitError:
        return None


def plans(job: JobFacts) -> list[Requirement]:
    """What two joints ask, one of a procedure that limits all that can be."""
    tight = replace(
        PROCEDURE, passes=(procedure_pass("root", volts_min=D(10), volts_max=D(14)), procedure_pass("fill", filler_diameter_mm=D("2.4")), procedure_pass("cap")),
        preheat_min_c=D(50),
    )  # fmt: skip
    until = {
        name: ExaminerFacts(name, "VT", "II", date(year, 1, 1)) for name, year in (("Quinn", 2027), ("Rowe", 2026))
    }
    lapsed = qualification(tested_on=WELDED.replace(year=2024))
    known = people(welder(), welder("B2", lapsed), examiners={(one.name, "VT"): one for one in until.values()})
    recording = replace(job, recording="parameters")
    asked = [*requirements(planned(), recording, known), *requirements(butt(procedure=tight), recording, known)]
    return [one for one in asked if one.term]


FIGURES = sorted({one.column for one in (*FIT_UP, *PASS, *PLACES, *EXAMINATION)} | {"filler_diameter_mm"})
VALUES = {
    "gap_mm": ("0", "1.5875", "1.5874", "3.175", "3.1751", "9"), "squareness_mm": ("1.5875", "1.6"),
    "high_low_mm": ("1.5875", "2"), "amps": ("89.9999", "90", "120", "150", "150.0001"), "volts": ("9", "10", "14", "14.1", "22"),
    "travel_mm_min": ("0", "40", "58", "57.6", "101.6", "25.4"), "length_mm": ("100", "0"), "arc_time_s": ("60", "90", "0"),
    "preheat_c": ("9.9999", "10", "49", "50"), "interpass_c": ("176.6667", "176.6668"),
    "filler_diameter_mm": ("2.4", "2.38125", "3.2"), "start_degrees": ("0", "10", "29.9", "30", "190", "355"),
    "stop_degrees": ("0", "15", "45", "350"), "leg_a_mm": ("4", "5.4", "6.35"), "leg_b_mm": ("4", "9"),
    "undercut_mm": ("0", "0.79375", "0.8", "1.2"), "gap_on_film_mm": ("1",),
}  # fmt: skip
OTHERS = {
    "heat_a_read": ("", "H1", "h 1", "H2", "H9"),
    "heat_b_read": ("", "H2", "H1"), "revision": ("", "2", "1"), "role": ("root", "fill", "cap", "hot"), "tack_stamp": ("", "A1", "B2"),
    "process": ("GTAW", "SMAW"), "filler_classification": ("", "ER70S-6", "er70s-6", "E7018"), "stamp": ("A1", "B2"), "by": ("Quinn", "Rowe"),
}  # fmt: skip


def drawn(rng: random.Random, record: Any) -> Any:
    """A record with each of its figures and words drawn, or left out."""
    names = asdict(record).keys()
    changes: dict[str, Any] = {
        name: rng.choice((None, *map(D, values))) for name, values in VALUES.items() if name in names
    }
    changes |= {name: rng.choice(values) for name, values in OTHERS.items() if name in names}
    if "gaps_mm" in names:
        changes["gaps_mm"] = {
            clock: D(rng.choice(VALUES["gap_mm"])) for clock in rng.sample(("12", "3", "6", "9"), rng.randrange(5))
        }
    return replace(record, **changes)


def told(record: Any) -> dict[str, Any]:
    """A record as a device has it: figures as text, readings round the pipe as a list, days as text."""
    values = {name: plain(value) for name, value in asdict(record).items()}
    return values | ({"gaps_mm": list(values["gaps_mm"].values())} if "gaps_mm" in values else {})


@pytest.mark.parametrize("job", [JOB, SI_JOB], ids=["US", "SI"])
@pytest.mark.parametrize("kind", ["fit-up", "pass", "examination"])
def test_a_device_holds_a_record_against_its_limits_as_the_site_does(device: Page, kind: str, job: JobFacts) -> None:
    rng = random.Random(f"{kind} {job.units}")
    sound = {"fit-up": fit_up(), "pass": weld_pass(2, "fill"), "examination": examination()}[kind]
    asks = [one for one in plans(job) if one.record == kind and one.test not in ("order", "count_at_least")]
    pairs = [(drawn(rng, sound), [drawn(rng, sound) for _ in range(rng.randrange(3))]) for _ in range(DRAWS // 4)]
    sent = [
        {"test": one.test, "term": plain(one.term), "bounds": plain(one.bounds), "when": dict(one.when)} for one in asks
    ]
    found = device.evaluate(
        HELD, [sent, [[told(one), [told(other) for other in before]] for one, before in pairs], FIGURES]
    )
    expected = [_departures(asks, one, before) for one, before in pairs]
    assert [[(place, bound) for place, _, bound in row] for row in found] == [
        [(place, bound) for place, _, bound in row] for row in expected
    ]
    for row, others in zip(found, expected, strict=True):
        for (_, value, _), (place, other, _) in zip(row, others, strict=True):
            alike = (
                abs(Fraction(value) - Fraction(other)) < Fraction(1, 10**20)
                if isinstance(other, Decimal)
                else value == other
            )
            assert alike, (asks[place].id, value, other)
    broken = {asks[place].id for row in expected for place, *_ in row}
    assert broken == {one.id for one in asks}, "each limit is broken by some"


def _departures(asks: list[Requirement], record: Any, before: list[Any]) -> list[tuple[int, Any, str]]:
    rows = []
    for place, one in enumerate(asks):
        if one.record == "pass" and not applies(one, record):
            continue
        found = dial_apart(one, record, before) if one.test == "dial_apart" else departs(one, record)
        # The device knows the stamps that came along alone.
        if found and (one.test != "allowed_until" or found.measured in one.bounds):
            rows.append((place, found.measured, found.bound))
    return rows


def test_a_device_knows_a_stamp_however_it_is_written(device: Page) -> None:
    ask = {
        "test": "allowed_until",
        "term": ["field", "stamp"],
        "when": {},
        "bounds": {"B2": {"until": "2025-01-01", "why": ""}},
    }
    records = [[{"stamp": stamp, "done_on": "2026-01-01"}, []] for stamp in ("B2", "b2", "B3", "", "constructor")]
    found = device.evaluate(HELD, [[ask], records, []])
    assert found == [[[0, "B2", ""]], [[0, "B2", ""]], [], [], []]


@pytest.mark.parametrize("count", [1, 2, 3, 4])
def test_a_device_tells_a_closed_circle_as_the_site_does(device: Page, count: int) -> None:
    rng = random.Random(count)
    around = [rng.sample(range(0, 360, 15), count) for _ in range(300)]
    # Half of them close the circle if each runs on to the next.
    rows = [
        [
            (one, (sorted(ends) * 2)[sorted(ends).index(one) + 1] if number % 2 else rng.choice((0, 90, 180, 270)))
            for one in ends
        ]
        for number, ends in enumerate(around)
    ]
    asked = [[{"start": start, "stop": stop} for start, stop in row] for row in rows]
    found = device.evaluate("rows => rows.map((row) => asked.is_all_round(row))", asked)
    expected = [
        is_all_round([SimpleNamespace(start_degrees=D(start), stop_degrees=D(stop)) for start, stop in row])
        for row in rows
    ]
    assert found == expected
    assert set(expected) == {True, False} or count == 1


def test_a_device_tries_no_more_segments_than_the_site(device: Page) -> None:
    segments = [{"start": place * 10, "stop": place * 10 + 10} for place in range(11)]
    at_the_site = [SimpleNamespace(start_degrees=D(one["start"]), stop_degrees=D(one["stop"])) for one in segments]
    assert device.evaluate("row => asked.is_all_round(row)", segments) is is_all_round(at_the_site) is True


def test_a_gap_too_wide_all_round_is_told_once_and_two_wrong_heats_are_two(device: Page) -> None:
    def ask(code: str, test: str, label: str, field: str, bounds: list[str | None]) -> dict[str, Any]:
        shown = {"args": {"greatest": "3"}, "unit": "mm", "shown_by": "1", "sources": {}, "severity": "correct"}
        told = {"code": code, "test": test, "label": label, "term": ["field", field], "bounds": bounds, "when": {}}
        return told | shown | {"source": "plan"}

    brought = {
        "kind": "fit-up",
        "reading": of_form("SI"),
        "requirements": [
            ask("gap-out-of-range", "range", "Gap", "gap_mm", [None, "3"]),
            ask("gap-out-of-range", "range", "Greatest gap", "gap_12_mm", [None, "3"]),
            ask("heat-mismatch", "one_of", "Heat A", "heat_a_read", ["H1"]),
            ask("heat-mismatch", "one_of", "Heat B", "heat_b_read", ["H2"]),
        ],
        "measures": {"gap_mm": {"name": "gap", "unit": "mm"}, "gap_12_mm": {"name": "gap_12", "unit": "mm"}},
        "groups": {},
        "texts": {"heat_a_read": "heat_a_read", "heat_b_read": "heat_b_read"},
        "lots": {},
    }
    typed = {"gap": "4", "gap_12": "5", "heat_a_read": "X", "heat_b_read": "Y"}
    found = device.evaluate("([brought, typed]) => asked.told(brought, typed).findings", [brought, typed])
    assert [sentence for _, sentence in found] == [
        "Gap 4 mm, at most 3 mm (plan).",
        "Heat A X, not H1 (plan).",
        "Heat B Y, not H2 (plan).",
    ]
