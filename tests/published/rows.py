"""What the readers of check values share: calculators asked as a person types, and figures out of text."""

import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Any

import pytest

from rules.compute import compute

Row = dict[str, str]
# The calculators that readers asked, in order: what `coverage.csv` says of them is compared with it.
ASKED: list[str] = []


Way = Callable[[str, dict[str, str]], dict[str, Any]]
_way: ContextVar[Way] = ContextVar("way", default=compute)


@contextmanager
def asked_by(way: Way) -> Iterator[None]:
    """Ask the calculators another way than by the function itself, through the web for example."""
    before = _way.set(way)
    try:
        yield
    finally:
        _way.reset(before)


def answer(name: str, **values: Any) -> dict[str, Any]:
    """The result of a calculator, values as a person types them."""
    given = {key.rstrip("_"): str(value) for key, value in values.items()}
    ASKED.append(name)
    result: dict[str, Any] = _way.get()(name, given)["result"]
    return result


def first(pattern: str, text: str) -> str:
    """The first group of a pattern that must occur."""
    found = re.search(pattern, text)
    assert found, f"{pattern} is not in {text}"
    return found[1]


def near(value: Any, row: Row, expected: float | None = None) -> None:
    """The value within the row's tolerance of the first figure of its expected text."""
    wanted = float(first(r"(-?\d+\.?\d*)", row["expected"])) if expected is None else expected
    if row["tolerance"].endswith("%"):
        assert value == pytest.approx(wanted, rel=float(row["tolerance"].split()[0]) / 100)
    else:
        tolerance = 0.0005 if row["tolerance"] == "exact" else float(row["tolerance"].split()[0])
        assert value == pytest.approx(wanted, abs=tolerance)
