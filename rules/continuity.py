"""Whether a welder's qualifications for a process are alive: used within six months, renewed by a test."""

from calendar import monthrange
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

from rules.facts import WelderFacts
from rules.remember import Remembered
from rules.source import Source, Verdict
from rules.tables import basis, table

# Short-circuiting or self-shielded, gas-shielded, pulsed: one process to Section IX.
VARIANTS = ("-S", "-G", "-P")
MONTHS = int(table("continuity_qw322").rows[0]["months"])
SOURCE = Source("ASME BPVC Section IX", "", "QW-322.1(a)", "checked", tables=(basis("continuity_qw322"),))


@dataclass(frozen=True, slots=True)
class Span:
    """A time through which a process stayed alive.

    begins   the test that opened it
    last     the last use in it
    ends     six months after: on this day it is lapsed, unless the process is used on it
    """

    begins: date
    last: date
    ends: date


_spans: Remembered[tuple[Span, ...]] = Remembered()


def expires(last_used: date) -> date:
    """The day on which a process lapses if it is not used: six calendar months on, clamped to the month's end.

    Source    ASME BPVC Section IX QW-322.1(a); the calendar reading is a convention
    """
    months = last_used.year * 12 + last_used.month - 1 + MONTHS
    year, month = divmod(months, 12)
    return date(year, month + 1, min(last_used.day, monthrange(year, month + 1)[1]))


def continuity(last_used: date, as_of: date) -> Verdict[bool]:
    """Whether a process last used on a day is alive on another, with the day on which it lapses."""
    ends = expires(last_used)
    alive = as_of < ends
    step = f"last used {last_used} + 6 months = {ends}; {as_of} is {'before' if alive else 'not before'} it"
    return Verdict(alive, (step,), SOURCE)


def spans(tests: Sequence[date], used: Sequence[date]) -> tuple[Span, ...]:
    """The times through which a process was alive, in order.

    tests   days of tests: each opens a span or, within one, extends it; a test revives what had lapsed (QW-322.2(a))
    used    days of use, ascending; a use after the lapse revives nothing
    """
    found: list[Span] = []
    opened = set(tests)
    for day in sorted(opened | set(used)):
        if found and day <= found[-1].ends:
            found[-1] = Span(found[-1].begins, day, expires(day))
        elif day in opened:
            found.append(Span(day, day, expires(day)))
    return tuple(found)


def spans_of(welder: WelderFacts, process: str) -> tuple[Span, ...]:
    """The spans of a welder's process."""
    return _spans.get(welder, process, _work_out, welder, process)


def span_on(welder: WelderFacts, process: str, day: date, is_use: bool) -> Span | None:
    """The span in which a process is alive on a day.

    is_use   the process is used on that day, which on the last day keeps it alive
    """
    for span in spans_of(welder, process):
        if span.begins <= day and (day < span.ends or (is_use and day == span.ends)):
            return span
    return None


def lapses(welder: WelderFacts) -> dict[str, date]:
    """The day on which each of the welder's qualified processes lapses, or lapsed, if it is not used again."""
    processes = dict.fromkeys(base_process(one.process) for one in welder.qualifications)
    return {process: found[-1].ends for process in processes if (found := spans_of(welder, process))}


@lru_cache(maxsize=1024)
def base_process(process: str) -> str:
    """A process without its variant: `GMAW-S`, `GMAW-P` are GMAW, `FCAW-S`, `FCAW-G` are FCAW."""
    plain = process.strip().upper()
    return next((plain.removesuffix(one) for one in VARIANTS if plain.endswith(one)), plain)


def _work_out(welder: WelderFacts, process: str) -> tuple[Span, ...]:
    wanted = base_process(process)
    tests = [one.tested_on for one in welder.qualifications if base_process(one.process) == wanted]
    used = [day for name, days in welder.used.items() if base_process(name) == wanted for day in days]
    return spans(tests, used)
