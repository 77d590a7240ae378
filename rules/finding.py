"""The two faces of a rule: the requirement before, the finding after."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any, NamedTuple

from rules.source import Source

STOP, CORRECT, NOTE = "stop", "correct", "note"


@dataclass(frozen=True, slots=True)
class Requirement:
    """What a rule demands of a record before it is made; data that a phone can check with no signal.

    id           stable within a joint, for example "gap" or "amps:root"
    code         the finding code it leads to
    record       fit-up, pass, examination, release
    when         {"pass": "root", "process": "GTAW", "filler": "ER70S-6"} narrows it; empty: every record of the kind
    term         nested lists over the record's fields, for example ["field", "gap_mm"] or ["over", ["times", ...], ...]
    test         range, one_of, allowed_until, dial_apart, requires, order, count_at_least
    bounds       range: [least or None, greatest or None]; one_of: the list;
                 allowed_until: {"A1": {"until": date, "why": ""}}
    unit         of the bounds, empty where none
    severity     stop, correct, note
    text_id      the sentence's key; args fill it
    source, steps  where the figure comes from and how it was computed
    sources      by bound, where the least and the greatest are not of one source
    version      of the record's form; valid_until the day from which it must be asked again
    """

    id: str
    code: str
    record: str
    test: str
    bounds: Any
    source: Source
    term: Any = None
    when: Mapping[str, str] = field(default_factory=dict)
    unit: str = ""
    severity: str = CORRECT
    text_id: str = ""
    args: Mapping[str, str] = field(default_factory=dict)
    steps: tuple[str, ...] = ()
    version: int = 1
    valid_until: date | None = None
    sources: Mapping[str, Source] = field(default_factory=dict)

    def source_of(self, bound: str) -> Source:
        """Where the least or the greatest comes from."""
        return self.sources.get(bound, self.source)


@dataclass(frozen=True, slots=True)
class Finding:
    """What a rule says of a record: measured against limit, with the source and the arithmetic.

    joint     drawing/sheet/number          record   id of the record it speaks of, or "" (nothing was recorded)
    measured, limit  as shown to a person in the job's units, without the unit; `unit` beside them
    tables    (name, row key) of each table that the limit comes from
    subject   the stamp, heat number, examiner, method or procedure it hangs on, to find it again when that changes
    """

    code: str
    joint: str
    attempt: str
    record: str
    severity: str
    message: str
    source: str
    measured: str = ""
    limit: str = ""
    unit: str = ""
    subject: str = ""
    steps: tuple[str, ...] = ()
    tables: tuple[tuple[str, str], ...] = ()


class Derived(NamedTuple):
    """The state of a joint, derived from its records alone.

    state      planned, fitted, in progress, welded, rejected, accepted, released, withdrawn
    attempt    the label of the current attempt; attempts all of them in sequence
    next_step  fit up, weld, examine VT, examine RT, decide repair, release, nothing
    progress   share of the passes welded, 0 to 1, for the ring (1 when welded)
    due        methods still to be examined
    waits      hold and witness points that wait for the owner's inspector
    """

    state: str
    attempt: str
    attempts: tuple[str, ...]
    next_step: str
    progress: Decimal
    due: tuple[str, ...] = ()
    waits: int = 0
    welded_on: date | None = None
    accepted_on: date | None = None
    released_on: date | None = None
