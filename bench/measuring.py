"""What a measure is, and how time is taken: the median of some runs, by the clock and by this process's own work."""

import statistics
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Measure:
    """One figure beside its floor.

    value    what was measured, in `unit`; `floor` in the same unit, measured in the same run, None where there is none
    ratio    how many times the floor
    rows     how many rows the figure is about
    target   what is asked for, in words; `met` says whether it holds
    cpu      seconds of processor time of the measured process, None where it was not taken
    """

    name: str
    value: float
    unit: str
    rows: int
    floor: float | None = None
    ratio: float | None = None
    target: str = ""
    met: bool | None = None
    cpu: float | None = None

    def as_row(self, machine: dict[str, Any]) -> dict[str, Any]:
        """The object that stands in the results."""
        return asdict(self) | {"machine": machine}


@dataclass(frozen=True, slots=True)
class Time:
    """Seconds by the clock, and of processor time of this process."""

    wall: float
    cpu: float


def timed(run: Callable[[], object]) -> Time:
    """Time one run."""
    wall, cpu = time.perf_counter(), time.process_time()
    run()
    return Time(time.perf_counter() - wall, time.process_time() - cpu)


def median_of(run: Callable[[], object], *, runs: int) -> Time:
    """The medians of some runs."""
    taken = [timed(run) for _ in range(runs)]
    return Time(statistics.median(one.wall for one in taken), statistics.median(one.cpu for one in taken))
