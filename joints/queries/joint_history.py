"""Everything that was ever recorded on a joint, in order, with what was corrected or withdrawn beside what stands."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from functools import cached_property
from typing import Any, TypeVar
from uuid import UUID

from django.db import connection

from joints.measures import BY_KIND
from records.clock import local_time
from records.facts import when
from records.models import (
    Assignment,
    Attendance,
    Examination,
    FitUp,
    Job,
    Joint,
    Override,
    Pass,
    Pick,
    Release,
    RepairDecision,
    User,
    Withdrawal,
)
from records.models.base import JointRecord, Record
from rules.codes import finding_called
from rules.dial import clock_of
from rules.lots import lot_called
from rules.specification import gap_called
from rules.units import SI, US, shown, unit_shown

R = TypeVar("R", bound=JointRecord)

# A temperature as a workbook has it: 21 C.
_BARE_DEGREES = re.compile(r"(?<=\d)\s*([CF])$", re.IGNORECASE)
# What says that a length or temperature was typed in the units that the job does not have.
_OF_OTHERS = {
    US: re.compile(r"mm|cm|(?<![a-z])m\b|°\s*C|celsius", re.IGNORECASE),
    SI: re.compile("[\"'″′]|in|ft|feet|foot|°\\s*F|fahrenheit", re.IGNORECASE),
}

KINDS: tuple[type[JointRecord], ...] = (
    Assignment, FitUp, Pass, Examination, RepairDecision, Release, Override, Pick, Attendance,
)  # fmt: skip
TITLES = {
    "assignment": "Assigned",
    "fitup": "Fitted up",
    "repairdecision": "Decided",
    "release": "Released",
    "override": "Overridden",
}
_RELATED = {
    Pass: ("stamp", "filler_lot", "procedure"),
    FitUp: ("tack_stamp",),
    Assignment: ("stamp__welder",),
    Attendance: ("point",),
}
_KNOWN: tuple[type[Record], ...] = (*KINDS, Withdrawal)
_HAS = " UNION ALL ".join(
    f"SELECT '{model._meta.db_table}' WHERE EXISTS (SELECT 1 FROM {model._meta.db_table} WHERE joint_id = %s)"
    for model in _KNOWN
)
ATTENDED_WORDS = {"notified": "owner told", "attended": "attended by the owner", "waived": "waived by the owner"}


@dataclass(slots=True)
class Entry:
    """One record as the card tells it.

    values       what was measured, as typed where somebody typed it
    struck       why it counts no more: the correction or the withdrawal, with who and the reason; empty where it stands
    corrects     why this one replaced another
    method       of an examination
    left_open    of an examination: what no limit decides of its indications, each with the reason
    """

    kind: str
    id: UUID
    attempt: str
    done_on: date
    done_at: datetime | None
    title: str
    values: tuple[str, ...]
    remark: str
    by: str
    recorded: str
    corrects: str = ""
    struck: str = ""
    method: str = ""
    left_open: tuple[str, ...] = ()


class History:
    """The records of a joint, each kind read once and when it is asked for: the rows that stand, or all as entries."""

    def __init__(self, job: Job, joint: Joint) -> None:
        self.job, self.joint = job, joint
        self._read: dict[type[JointRecord], list[Any]] = {}

    @cached_property
    def entries(self) -> list[Entry]:
        """Everything recorded, in order; at most three queries, and one for each kind that the joint has."""
        replaced = {row.replaces_id: row for row in self.rows if row.replaces_id}
        gone = self._withdrawn
        found = [_entry(self.job, self.joint.kind, row, replaced.get(row.id), gone.get(row.id)) for row in self.rows]
        if self.joint.id in gone:
            found.append(_joint_withdrawn(self.job, self.joint, gone[self.joint.id]))
        return found

    def stand(self, model: type[R], attempt: str | None = None) -> list[R]:
        """The records of a kind that count, in order, of one attempt or of all."""
        rows = self._of(model)
        over = {row.replaces_id for row in rows} | set(self._withdrawn)
        return [row for row in rows if row.id not in over and attempt in (None, row.attempt)]

    @cached_property
    def rows(self) -> list[JointRecord]:
        """All records in order, with whoever wrote each down; one join a row would cost more than its records."""
        rows = sorted((row for model in KINDS for row in self._of(model)), key=when)
        withdrawals = self._withdrawn.values()
        people = User.objects.in_bulk({row.recorded_by_id for row in (*rows, *withdrawals)})
        for row in (*rows, *withdrawals):
            row.recorded_by = people[row.recorded_by_id]
        return rows

    @cached_property
    def _withdrawn(self) -> dict[UUID, Withdrawal]:
        rows = Withdrawal.objects.filter(joint=self.joint) if Withdrawal in self._kinds else ()
        return {row.record: row for row in rows}

    def _of(self, model: type[R]) -> list[R]:
        if model not in self._kinds:
            return []
        if model not in self._read:
            rows = model._default_manager.filter(joint=self.joint)
            related = _RELATED.get(model)
            self._read[model] = sorted(rows.select_related(*related) if related else rows, key=when)
        return self._read[model]

    @cached_property
    def _kinds(self) -> set[type[Record]]:
        """The kinds of record that the joint has: most joints have few, and asking for each costs more than this."""
        with connection.cursor() as cursor:
            cursor.execute(_HAS, [Joint._meta.pk.get_db_prep_value(self.joint.id, connection)] * len(_KNOWN))
            has = {name for (name,) in cursor.fetchall()}
        return {model for model in _KNOWN if model._meta.db_table in has}


def _kind(row: JointRecord) -> str:
    return str(row._meta.model_name)


def _entry(
    job: Job, kind_of_joint: str, row: JointRecord, by_correction: JointRecord | None, by_withdrawal: Withdrawal | None
) -> Entry:
    kind = _kind(row)
    return Entry(
        kind=kind,
        id=row.id,
        attempt=row.attempt,
        done_on=row.done_on,
        done_at=local_time(job, row.done_at) if row.done_at else None,
        title=title_of(row),
        values=tuple(values_of(row, job.units, kind_of_joint)),
        remark=_remark(row),
        by=signed(row),
        recorded=recorded_words(job, row),
        corrects=row.reason if row.replaces_id else "",
        struck=struck_words(job, by_correction, by_withdrawal),
        method=row.method if isinstance(row, Examination) else "",
    )


def title_of(row: JointRecord) -> str:
    """Return what a record says in a word or two: "Pass 1 root", "VT accepted"."""
    match row:
        case Pass():
            return f"Pass {row.order} {row.role}"
        case Examination():
            return f"{row.method} {row.result}"
        case Pick():
            return f"Picked for {row.method}{', extra' if row.purpose == 'extra' else ''}"
        case RepairDecision():
            return "Cut-out decided" if row.decision == "cut-out" else "Repair decided"
        case Attendance():
            return f"{row.point.kind.capitalize()} point {row.point.name}: {ATTENDED_WORDS[row.result]}"
        case Assignment():
            return f"Assigned to {row.stamp.code}{', with a written reason' if row.override_reason else ''}"
        case Override():
            return f"Finding overridden: {finding_called(row.code)}"
        case _:
            return TITLES[_kind(row)]


def values_of(row: JointRecord, units: str, kind_of_joint: str) -> Iterable[str]:
    """Yield what a record says beside its title, each part with its unit."""
    match row:
        case Pass():
            yield f"{row.stamp.code}, {row.process}"
            if row.filler_lot:
                yield f"filler {row.filler_lot.number}"
        case Assignment():
            yield row.stamp.welder.name
        case Pick():
            yield from _picked(row)
        case Attendance():
            yield row.point.step
            if row.point.document:
                yield row.point.document
    typed: dict[str, str] = getattr(row, "typed", None) or {}
    for one in BY_KIND.get(_kind(row), ()):
        value: Decimal | None = getattr(row, one.column)
        if value is not None:
            label = one.label.replace("gap", gap_called(kind_of_joint))
            yield f"{label} {_as_typed(typed.get(one.word, ''), value, one.unit, units)}".strip()
    match row:
        case Pass():
            if row.start_degrees is not None and row.stop_degrees is not None:
                yield course(row.start_degrees, row.stop_degrees)
            if row.position:
                yield row.position
        case FitUp():
            yield from _read_at_fit_up(row)
        case Examination():
            if row.report:
                yield f"report {row.report}{', line ' + row.report_line if row.report_line else ''}"


def _picked(row: Pick) -> Iterable[str]:
    yield "at random" if row.how == "random" else row.how
    if row.lot:
        yield lot_called(row.lot)
    if row.draw:
        yield row.draw


def _read_at_fit_up(row: FitUp) -> Iterable[str]:
    if row.tack_stamp:
        yield f"tacked by {row.tack_stamp.code}"
    for side, heat in (("A", row.heat_a_read), ("B", row.heat_b_read)):
        if heat:
            yield f"heat {side} {heat}"
    if row.revision:
        yield f"from revision {row.revision}"
    if row.accepted_by:
        yield f"accepted by {row.accepted_by}"


def _as_typed(typed: str, value: Decimal, unit: str, units: str) -> str:
    """What was typed: with the job's unit where it carried none, with the job's figure where it carried another one.

    Nothing typed: the figure.
    """
    text = typed.strip()
    if not text:
        return shown(value, unit, units)
    if unit == "°C":
        text = _BARE_DEGREES.sub(lambda found: f" °{found[1].upper()}", text)
    has_unit = any(sign.isalpha() or sign in "\"'″′°:" for sign in text)
    if not has_unit:
        return f"{text} {unit_shown(unit, units)}"
    return f"{text} ({shown(value, unit, units)})" if unit in ("mm", "°C") and _OF_OTHERS[units].search(text) else text


def course(start: Decimal, stop: Decimal) -> str:
    """Return where a pass ran: "from 3 o'clock all round", "from 3 to 4:30 o'clock"."""
    if start == stop:
        return f"from {clock_of(start)} o'clock all round"
    return f"from {clock_of(start)} to {clock_of(stop)} o'clock"


def _remark(row: JointRecord) -> str:
    match row:
        case Examination():
            return row.indications
        case Assignment():
            return row.override_reason
        case Release() | Pick() | Attendance():
            return row.remark
        case Override():
            return row.reason
        case RepairDecision():
            why = "" if row.replaces_id else row.reason.strip().rstrip(".")
            scrapped = f"scrapped: {row.piece_scrapped}" if row.piece_scrapped else ""
            return "; ".join(part for part in (why, scrapped) if part)
        case _:
            return ""


def signed(row: JointRecord) -> str:
    """Return who did it, in the words of the record, else who wrote it down."""
    name = row.recorded_by.get_full_name() or row.recorded_by.get_username()
    return row.by or (row.stamp.code if isinstance(row, Pass) else name)


def recorded_words(job: Job, row: Record) -> str:
    """Say who wrote it down and when, by the server's clock and, where it differs, by the device's."""
    name = row.recorded_by.get_full_name() or row.recorded_by.get_username()
    at = local_time(job, row.recorded_at)
    told = f"{name}, {at.day} {at:%b %Y %H:%M}"
    if row.device_at and abs((row.device_at - row.recorded_at).total_seconds()) > 60:
        device = local_time(job, row.device_at)
        told += f", by the device {device.day} {device:%b %Y %H:%M}"
    return told


def struck_words(job: Job, correction: Record | None, withdrawal: Withdrawal | None) -> str:
    """Say why a record counts no more, an empty text where it stands."""
    if withdrawal:
        return f"Withdrawn by {recorded_words(job, withdrawal)}: {withdrawal.reason}"
    if correction:
        return f"Corrected by {recorded_words(job, correction)}: {correction.reason}"
    return ""


def _joint_withdrawn(job: Job, joint: Joint, row: Withdrawal) -> Entry:
    at = local_time(job, row.recorded_at)
    return Entry(
        kind="joint", id=joint.id, attempt=joint.attempt, done_on=at.date(), done_at=None, title="Joint withdrawn",
        values=(), remark=row.reason, by=recorded_words(job, row).split(",")[0], recorded=recorded_words(job, row),
    )  # fmt: skip
