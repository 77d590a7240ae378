"""Where a job releases only by confirmed tables: the releases that were given without."""

import re
from collections.abc import Iterable

from rules.basis import Rows, tables_of
from rules.case import Case, found
from rules.finding import Finding
from rules.source import Source
from rules.state import RELEASED
from rules.tables import called, table

_YEAR = re.compile(r"(?<!\d)(?:19|20)\d\d(?!\d)")
_SECTION_IX = 2010


def unconfirmed(rows: Iterable[tuple[str, str]], confirmed: frozenset[tuple[str, str]]) -> Rows:
    """Those of the rows that are confirmed neither by themselves nor with their table."""
    return tuple(one for one in rows if one not in confirmed and (one[0], "") not in confirmed)


def table_words(one: tuple[str, str]) -> str:
    """A table, or one row of it, as a person reads it: "pipe, row 1, 25, 80"."""
    return f"{called(one[0])}, row {one[1]}" if one[1] else called(one[0])


def edition_asked(name: str, construction_code: str, edition: str, welders_edition: str) -> str:
    """The edition that a job names of a table's standard; empty where it names none, so that any is good."""
    source = table(name).source
    if "Section IX" in source:
        return welders_edition
    standard = construction_code.upper().removeprefix("ASME").strip()
    return edition if standard and standard in source.upper() else ""


def is_of_edition(read: str, asked: str) -> bool:
    """Whether an edition as an engineer wrote it ("ASME B31.3-2018") is the one asked for ("2018"; of Section IX also
    "older" or "current" than 2010).
    """
    years = {int(year) for year in _YEAR.findall(read)}
    if not asked or asked.casefold() in read.casefold():
        return True
    if asked == "older":
        return any(year < _SECTION_IX for year in years)
    if asked == "current":
        return any(year > _SECTION_IX for year in years)
    return bool(years & {int(year) for year in _YEAR.findall(asked)})


def findings(case: Case) -> list[Finding]:
    """A released joint whose limits come from tables that nobody confirmed, where the job demands that."""
    confirmed = case.job.confirmed
    if confirmed is None or case.derived.state != RELEASED:
        return []
    rows = unconfirmed(tables_of(case.joint, case.job), confirmed)
    if not rows:
        return []
    named = "; ".join(table_words(one) for one in rows)
    told = f"The joint is released, and tables that it rests on are not confirmed: {named}."
    count = f"{len(rows)} not confirmed"
    source = Source("job setting", clause="release by confirmed tables")
    return [found(case, "table-unconfirmed", told, source, measured=count, limit="every table confirmed")]
