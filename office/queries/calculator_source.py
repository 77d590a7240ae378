"""Where the figures of an answer come from, how far they were checked, and who confirmed them on a job."""

from collections.abc import Iterable
from typing import Any

from records.confirmed import UNCONFIRMED, confirmed_on
from records.models import Job
from rules.calculators.described import DESCRIBED
from rules.source import Source
from rules.tables import called

STATES = {
    "checked": "checked against published figures",
    "memory": "from memory, not checked against a copy of the standard",
    "conflict": "editions differ: look into the contract's own",
    "job": "the job's own figure",
    "owner": "the owner's specification",
    "practice": "common practice, no source",
}


def source_named(source: dict[str, str]) -> str:
    """Return code, edition and clause, without the state."""
    return str(Source(source["code"], source["edition"], source["clause"]))


def source_rows(answer: dict[str, Any], job: Job | None) -> list[tuple[str, list[str]]]:
    """Return label and sentences: source, state, and what the job's engineer confirmed; at most one query."""
    source = answer["source"]
    tables = list(_confirmed(DESCRIBED[answer["name"]].tables, job))
    rows = [("Source", [source_named(source)]), ("State", [STATES[source["state"]]]), ("Tables", tables)]
    return [row for row in rows if row[1] and row[1] != rows[0][1] or row is rows[0]]


def _confirmed(tables: tuple[str, ...], job: Job | None) -> Iterable[str]:
    """A sentence for each confirmation of a table that the calculator may use, else that there is none."""
    if not tables:
        return
    if job is None:
        yield f"{', '.join(map(called, tables))}: {UNCONFIRMED}, as no job is chosen"
        return
    confirmed = confirmed_on(job)
    standing = {key: one for key, one in confirmed.standing.items() if key[0] in tables}
    for (table, row), one in sorted(standing.items()):
        yield f"{called(table)}{', ' if row else ''}{row}: {confirmed.told(one)}"
    if rest := [called(table) for table in tables if (table, "") not in standing]:
        yield f"{', '.join(rest)}: {UNCONFIRMED}"
