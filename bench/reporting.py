"""Write the figures down, and print them as a table."""

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from bench.measuring import Measure

RESULTS = Path(__file__).parent / "results.json"
HEAD = ("measure", "value", "unit", "floor", "ratio", "rows", "cpu s", "target", "met")


def write(measures: Sequence[Measure], machine: dict[str, Any], *, path: Path = RESULTS) -> None:
    """Write one object per measure; figures of measures that were not taken now stay as they are."""
    old = json.loads(path.read_text()) if path.exists() else []
    rows = {row["name"]: row for row in old} | {one.name: one.as_row(machine) for one in measures}
    path.write_text(json.dumps(list(rows.values()), indent=1) + "\n")


def table(measures: Sequence[Measure]) -> str:
    """The measures as a table with a head."""
    rows = [HEAD, *(_row(one) for one in measures)]
    widths = [max(len(row[column]) for row in rows) for column in range(len(HEAD))]
    lines = ["  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows]
    return "\n".join([lines[0], "  ".join("-" * width for width in widths), *lines[1:]])


def _row(one: Measure) -> tuple[str, ...]:
    met = "" if one.met is None else "yes" if one.met else "NO"
    figures = (_figure(one.value), one.unit, _figure(one.floor), _figure(one.ratio), f"{one.rows:,}", _figure(one.cpu))
    return one.name, *figures, one.target, met


def _figure(value: float | None) -> str:
    if value is None:
        return ""
    return f"{value:,.0f}" if abs(value) >= 100 else f"{value:,.2f}"
