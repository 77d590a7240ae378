"""The page that says what is in the demonstration and what there is to find."""

from collections import Counter
from datetime import date, datetime

from dateutil.relativedelta import relativedelta

from demo.drawings import JOINTS
from demo.problems import PROBLEMS
from demo.works import JOB, LAPSED_STAMP, WELDERS, Row

_STATES = {
    "planned": ".a", "fitted": "f", "in progress": "iW", "welded": "w", "rejected": "x", "accepted": "A1",
    "released": "R",
}  # fmt: skip

_TEXT = """# The demonstration job

{name} ({code}): people, companies, places, steel and figures are **invented**. Everything here is written by
`python -m demo.build_workbook`; change the sources, not the products.

| file | what it is |
|---|---|
| `{code}.xlsx` | the job workbook, read by `import_workbook` |
| `certificates/` | one small PDF for each certificate number, marked as invented |
| `expected_findings.csv` | joint, attempt and code of every finding that must be open after the import, no other |

## How far it has come
{joints} joints on {lines} lines:
{states}.

## What there is to find
| joint | finding | story |
|---|---|---|
{problems}

Besides these, every welded joint still to be examined gives `examination-due` (one for each method that is due), and
every accepted joint gives `release-missing`. No other joint may give anything.

## What lapses later
Qualifications are judged on the day of the record, so the findings above stay. Who may weld *today* changes with time:
a process lapses six months after its last use.

| stamp | name | process | last used | lapses |
|---|---|---|---|---|
{lapses}

Stamp D12 signs in as `welder`, D21 as `hamish`; D12 has joints waiting that are planned, fitted and in progress.
"""


def _states() -> str:
    count = Counter(joint.state for joint in JOINTS.values())
    return ", ".join(f"{sum(count[letter] for letter in letters)} {state}" for state, letters in _STATES.items())


def _day(value: object) -> date:
    if isinstance(value, datetime):
        return value.date()
    return value if isinstance(value, date) else date.fromisoformat(str(value))


def _last_used(sheets: dict[str, list[Row]]) -> dict[tuple[str, str], date]:
    """The last day of each welder and process: tests, continuity entries and passes."""
    uses = [(row["stamp"], row["process"], row["test date"]) for row in sheets["Qualifications"]]
    uses += [(row["stamp"], row["process"], row["date"]) for name in ("Continuity", "Passes") for row in sheets[name]]
    for row in sheets["Weld log"]:  # used here for two-pass GTAW procedures only
        uses += [(row[column], "GTAW", row["date"]) for column in ("root stamp", "cap stamp")]
    last: dict[tuple[str, str], date] = {}
    for stamp, process, value in uses:
        key, day = (str(stamp), str(process)), _day(value)
        last[key] = max(day, last.get(key, day))
    return dict(sorted(last.items()))


def _lapse(stamp: str, last: date) -> str:
    if stamp == LAPSED_STAMP:
        return "lapsed on 2026-08-12; welding since does not revive it"
    return str(last + relativedelta(months=6))


def _lapses(sheets: dict[str, list[Row]]) -> str:
    names = {row["stamp"]: row["name"] for row in WELDERS}
    return "\n".join(
        f"| {stamp} | {names[stamp]} | {process} | {day} | {_lapse(stamp, day)} |"
        for (stamp, process), day in _last_used(sheets).items()
    )


def readme(sheets: dict[str, list[Row]]) -> str:
    """The text of demo/README.md for these sheets."""
    rows = [(problem.joint, f"`{problem.code}`" if problem.code else "none", problem.story) for problem in PROBLEMS]
    problems = "\n".join(f"| {' | '.join(row)} |" for row in rows)
    return _TEXT.format(
        name=JOB["name"],
        code=JOB["code"],
        joints=len(JOINTS),
        lines=len(sheets["Lines"]),
        states=_states(),
        problems=problems,
        lapses=_lapses(sheets),
    )
