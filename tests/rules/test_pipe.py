"""Pipe sizes against an independent library, and the sentences for sizes that there are not."""

from decimal import Decimal

import pytest
from fluids.piping import nearest_pipe, schedule_lookup

from rules.nps import nps_number
from rules.pipe import UnknownSize, parse_nps, parse_schedule, pipe
from rules.tables import table
from rules.units import SI, US

ROWS = table("pipe").rows


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['nps']}-{row['schedule']}")
def test_agrees_with_the_fluids_library(row: dict[str, str]) -> None:
    nps = sum(
        (float(Decimal(a) / Decimal(b or 1)) for a, _, b in (part.partition("/") for part in row["nps"].split("-"))),
        0.0,
    )
    schedule = row["schedule"]
    _, inner, outer, wall = nearest_pipe(NPS=nps, schedule=schedule)
    # NPS 10 and 12 differ by 0.1 mm by edition: 273.0 or 273.1, 323.8 or 323.9.
    edition = 0.0001 if row["nps"] in ("10", "12") else 0.0
    assert float(row["od_mm"]) / 1000 == pytest.approx(outer, abs=0.00006 + edition)
    assert float(row["wall_mm"]) / 1000 == pytest.approx(wall, abs=0.00006)


@pytest.mark.parametrize("schedule", sorted({row["schedule"] for row in ROWS}))
def test_no_size_of_the_library_is_missing(schedule: str) -> None:
    ours = {float(nps_number(row["nps"])) for row in ROWS if row["schedule"] == schedule}
    assert {float(size) for size in schedule_lookup[schedule][0] if size <= 24} == ours


@pytest.mark.parametrize("row", ROWS)
def test_inch_and_metric_figures_are_one_pipe(row: dict[str, str]) -> None:
    # The standard rounds walls to 0.01 mm and large diameters to whole millimetres.
    assert float(row["wall_in"]) * 25.4 == pytest.approx(float(row["wall_mm"]), abs=0.06)
    assert float(row["od_in"]) * 25.4 == pytest.approx(float(row["od_mm"]), abs=0.6)


def test_gives_the_wall_by_the_jobs_figure() -> None:
    one = pipe("1", "80")
    assert one.wall(SI) == Decimal("4.55")
    assert one.wall(US) == Decimal("0.179") * Decimal("25.4")
    assert one.od(US) == Decimal("1.315") * Decimal("25.4")
    assert str(one.source).startswith("ASME B36.10M")


@pytest.mark.parametrize(
    ("text", "nps"),
    [
        ("1-1/2", "1-1/2"),
        ('1 1/2"', "1-1/2"),
        ("1.5", "1-1/2"),
        ("NPS 2", "2"),
        ("DN 40", "1-1/2"),
        ("0.50", "1/2"),
        ("6 in", "6"),
        # Common practice, no source: signs that a phone and a word processor make of a typed fraction.
        ("1½", "1-1/2"),
        ('2 ½"', "2-1/2"),
        ("NPS ¾", "3/4"),
        ("1–1/2", "1-1/2"),
    ],
)
def test_reads_a_size_however_it_is_written(text: str, nps: str) -> None:
    assert parse_nps(text) == nps


def test_reads_a_schedule_however_it_is_written() -> None:
    assert [parse_schedule(text) for text in ("Sch 40", "sch. 80s", "xs", "Schedule 160")] == ["40", "80S", "XS", "160"]


def test_an_unknown_schedule_names_the_accepted_ones_nearest_first() -> None:
    with pytest.raises(UnknownSize, match=r'NPS 1 has no schedule "45"; accepted are (40|5|40S)'):
        pipe("1", "45")


def test_an_unknown_size_names_the_accepted_ones_nearest_first() -> None:
    with pytest.raises(UnknownSize, match="accepted are NPS 7|accepted are NPS 1/4|accepted are NPS"):
        pipe("7", "40")


@pytest.mark.parametrize("text", ["", "0", "-1", "abc", "DN 41", "1/0"])
def test_refuses_what_is_no_size(text: str) -> None:
    with pytest.raises(UnknownSize):
        parse_nps(text)
