"""A figure longer than anybody types is refused at once, whatever stands in it. Common practice, no source."""

import time
from collections.abc import Callable
from contextlib import suppress
from typing import Any

import pytest

from rules.compute import CALCULATORS, ComputeError, compute
from rules.filler_quantity import parse_filler
from rules.leak_test import read_pressure
from rules.nearest import as_number, nearest
from rules.nps import nps_number
from rules.pipe import UnknownSize, parse_nps
from rules.route.envelope import parse_envelope
from rules.units import LONGEST, UnitError, parse_clock, parse_length, parse_number, parse_temperature

LONG = 100_000
READERS: dict[str, Callable[[str], Any]] = {
    "length": lambda text: parse_length(text, "US"),
    "number": parse_number,
    "temperature": lambda text: parse_temperature(text, "US"),
    "clock": parse_clock,
    "filler": lambda text: parse_filler(text, "US"),
    "pressure": lambda text: read_pressure(text, "US"),
    "envelope": lambda text: parse_envelope(text, "US"),
    "size": parse_nps,
    "size of an SI job": lambda text: parse_nps(text.replace("1 ", "", 1), "SI"),
    "size as a number": nps_number,
}


@pytest.mark.parametrize("sign", ["0", "1/", " ", "\t", "DN 0", "1' ", "x"])
@pytest.mark.parametrize("read", READERS.values(), ids=READERS)
def test_a_long_text_is_refused_at_once(read: Callable[[str], Any], sign: str) -> None:
    begun = time.process_time()
    with pytest.raises((UnitError, UnknownSize)):
        read("1 " + sign * LONG + "!")
    assert time.process_time() - begun < 0.5


def test_what_is_nearest_to_a_long_text_is_said_at_once() -> None:
    begun = time.process_time()
    assert sorted(nearest("9" * LONG, ["1/2", "6", "pipe"])) == ["1/2", "6", "pipe"]
    assert nearest("pipes", ["elbow", "pipe"])[0] == "pipe" and as_number("1-1/2") is not None
    assert time.process_time() - begun < 0.5


def test_a_figure_as_long_as_can_be_is_read() -> None:
    assert parse_length(" " * (LONGEST - 2) + "40", "SI") == 40


@pytest.mark.parametrize("sign", ["0", "\t", "1 ", "1/"])
@pytest.mark.parametrize("name", CALCULATORS)
def test_no_calculator_thinks_long_about_a_long_figure(name: str, sign: str) -> None:
    calculator = CALCULATORS[name]
    for key in (*calculator.required, *calculator.optional):
        begun = time.process_time()
        with suppress(ComputeError):
            said = dict.fromkeys(calculator.required, "1") | {key: "1 " + sign * 5_000 + "!"}
            compute(name, said, units="US", edition="")
        assert time.process_time() - begun < 0.5, key
