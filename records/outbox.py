"""The outbox of a job: what happened, written for each subscriber in the transaction of what happened."""

import json
from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, datetime
from typing import Any
from uuid import UUID

from django.utils import timezone

from records import bulk
from records.gathering import gathered
from records.lookups import Keys
from records.models import Finding, Job, Joint, Webhook, WebhookDelivery, WebhookEvent
from records.models.base import new_id
from records.models.webhook import TEST

WRITTEN, RELEASED, BUILT = "records.written", "joints.released", "packages.built"
OPENED, CLOSED = "findings.opened", "findings.closed"
# An import writes a hundred thousand records at once; nobody is called a hundred thousand times.
MOST_IN_ONE = 500
# What the journal calls the records of a joint or of the shop, and where the API has them.
RECORDS = {
    "assignment": "assignments",
    "fitup": "fit-ups",
    "pass": "passes",
    "examination": "examinations",
    "repairdecision": "repairs",
    "release": "releases",
    "override": "overrides",
    "withdrawal": "withdrawals",
    "pick": "picks",
    "attendance": "attendances",
    "pieceevent": "piece-events",
    "spoolstep": "spool-steps",
    "lotmove": "lot-moves",
}
IN_SHOP = "shop-withdrawals"
RELEASE, PACKAGE = "release", "package"
_TOLD = {name: name for name in ("joint_id", "piece_id", "spool_id", "lot_id", "attempt", "record")}
_TOLD |= {"done_on": "date", "replaces_id": "replaces"}
OpenFindings = dict[tuple[Any, ...], dict[str, Any]]


def subscribers(job: Job) -> dict[UUID, frozenset[str]]:
    """Return what each live webhook of a job wants to hear; one query, none while a batch makes the job."""
    batch = gathered()
    if batch is not None and batch.opens_job:
        return {}
    rows = Webhook.objects.filter(job=job, ended_at__isnull=True).values_list("id", "kinds")
    return {key: frozenset(kinds) for key, kinds in rows}


def note(job: Job, kind: str, key: str, items: Sequence[Mapping[str, Any]], hears: Iterable[UUID]) -> None:
    """Write events of a kind for these webhooks, so many items in each; in the caller's transaction.

    key  what the items are called in the body: records, findings, joints or packages
    """
    hears, at = sorted(hears), timezone.now()
    if not hears:
        return
    parts = [items[start : start + MOST_IN_ONE] for start in range(0, len(items), MOST_IN_ONE)]
    events = [_event(job, kind, {key: part}, at) for part in parts]
    deliveries = [WebhookDelivery(webhook_id=one, event=event, next_at=at) for event in events for one in hears]
    bulk.insert(events)
    bulk.insert(deliveries)


def note_test(webhook: Webhook) -> WebhookDelivery:
    """Write an event that says nothing but that somebody asked for it."""
    at = timezone.now()
    event = _event(webhook.job, TEST, {}, at)
    event.save(force_insert=True)
    return WebhookDelivery.objects.create(webhook=webhook, event=event, next_at=at)


def note_entries(job: Job, entries: Iterable[tuple[str, str, str, int]]) -> None:
    """Write the events of new entries of the journal: (kind, subject, payload, number) of each; one query and more
    only where somebody listens."""
    wanted = subscribers(job)
    if not wanted:
        return
    records: list[dict[str, Any]] = []
    releases: list[dict[str, Any]] = []
    packages: list[dict[str, Any]] = []
    for kind, subject, payload, number in entries:
        if kind in RECORDS:
            told = _record(kind, subject, json.loads(payload), number)
            records.append(told)
            if kind == RELEASE:
                releases.append({"joint_id": told["joint_id"], "attempt": told["attempt"], "release": told["id"]})
        elif kind == PACKAGE:
            packages.append({"id": _dashed(subject), "scope": json.loads(payload)["scope"]})
    for kind, key, items in (
        (WRITTEN, "records", records), (RELEASED, "joints", releases), (BUILT, "packages", packages),
    ):  # fmt: skip
        note(job, kind, key, items, [one for one, kinds in wanted.items() if kind in kinds])


class Watch:
    """Compares the open findings of joints before and after they are judged again; a note is none to tell of."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self.wanted = subscribers(job)
        self.is_on = any(kinds & {OPENED, CLOSED} for kinds in self.wanted.values())
        self._before: OpenFindings = {}
        self._now: OpenFindings = {}

    def before(self, findings: Iterable[Finding]) -> None:
        """Read the findings that are about to be made anew; one query where somebody listens."""
        if self.is_on:
            self._before |= _open(findings)

    def now(self, findings: Iterable[Finding]) -> None:
        """Take the findings that were made."""
        if self.is_on:
            self._now |= _open(findings)

    def tell(self) -> None:
        """Write the events; one query for the names of the joints, and more where anything came or went."""
        opened = [one for key, one in self._now.items() if key not in self._before]
        closed = [one for key, one in self._before.items() if key not in self._now]
        named = _joints({one["joint_id"] for one in (*opened, *closed)}) if opened or closed else {}
        for kind, found in ((OPENED, opened), (CLOSED, closed)):
            items = [{"joint": named.get(one["joint_id"], ""), **one} for one in found]
            items.sort(key=lambda one: (one["joint"], one["attempt"], one["code"]))
            note(self.job, kind, "findings", items, [one for one, kinds in self.wanted.items() if kind in kinds])


def _open(findings: Iterable[Finding]) -> OpenFindings:
    """The findings that are open and more than a note, by what makes one the same as before."""
    return {
        (one.joint_id, one.attempt, one.code, one.record): {
            "joint_id": str(one.joint_id),
            "attempt": one.attempt,
            "code": one.code,
            "record": one.record,
            "severity": one.severity,
            "message": one.message,
        }
        for one in findings
        if one.override_id is None and one.severity != "note"
    }


def _joints(keys: Iterable[str]) -> dict[str, str]:
    rows = Joint.objects.filter(id__among=Keys(map(UUID, keys))).values_list(
        "id", "sheet__drawing", "sheet__number", "number"
    )
    return {str(key): "/".join(parts) for key, *parts in rows}


def _record(kind: str, subject: str, said: Mapping[str, Any], number: int) -> dict[str, Any]:
    told: dict[str, Any] = {"resource": RECORDS[kind], "id": _dashed(subject), "journal_number": number}
    if kind == "withdrawal" and said.get("joint_id") is None:
        told["resource"] = IN_SHOP
    for column, name in _TOLD.items():
        if said.get(column) is not None:
            told[name] = _dashed(said[column]) if column not in ("attempt", "done_on") else said[column]
    return told


def _dashed(key: str) -> str:
    return str(UUID(key))


def _event(job: Job, kind: str, data: Mapping[str, Any], at: datetime) -> WebhookEvent:
    key = new_id()
    said = {"id": str(key), "type": kind, "timestamp": _moment(at), "job": job.code, "data": data}
    return WebhookEvent(id=key, job=job, kind=kind, at=at, body=json.dumps(said, ensure_ascii=False))


def _moment(at: datetime) -> str:
    return at.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
