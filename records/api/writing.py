"""From what a program sends to drafts of records; whether they can be true is for the action to say."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any

from django.conf import settings
from django.db.models import Model
from rest_framework.exceptions import APIException, ErrorDetail
from rest_framework.request import Request

from records.api.asker import Asker
from records.api.fields import Field
from records.api.resource import Resource, Thing
from records.clock import zone_of
from records.models import Job, User
from records.models.base import Master
from records.refusals import Fault, Implausible

MOST = 1_000
Sent = Mapping[str, Any]


class TooLarge(APIException):
    """A body of more bytes than a batch can have."""

    status_code = 413
    default_detail = "The body is too large; send up to 10 MB."


@dataclass(frozen=True, slots=True)
class Batch:
    """What was sent, as drafts of one job; `is_list` where it was a list, even of one."""

    job: Job
    drafts: Sequence[Any]
    is_list: bool


def read_batch(request: Request, resource: Resource, asker: Asker, user: User) -> Batch:
    """Read what was sent for a resource.

    Raises  NotAllowed, Http404 (a job named in the address that the person is not on), TooLarge, Implausible with each
            field at fault: unknown, missing, of no readable form, or naming what the job has not
    Queries: one for what the records are about, one for what is stored already, one for each kind of row that is named.
    """
    named = asker.job_called(request.query_params["job"], resource.verb) if "job" in request.query_params else None
    asker.admit_somewhere(resource.verb)
    rows, is_list = _rows(request)
    sent = _read(resource, rows, is_list)
    things = _things(resource.thing, sent, named, asker, is_list)
    job = asker.job_of(getattr(next(iter(things.values())), resource.thing.of_job))
    asker.admit(job.id, resource.verb)
    rows_named = {name: _named(one, name, sent, job, is_list) for name, one in resource.written.items() if one.refers}
    stored = resource.model._default_manager.filter(job=job).in_bulk([one["id"] for one in sent])
    field = resource.thing.field
    drafts = [_draft(resource, one, job, things[one[field]], rows_named, stored.get(one["id"]), user) for one in sent]
    return Batch(job, drafts, is_list)


def read_one(request: Request, resource: Resource) -> Sent:
    """Read one thing of a resource that is no record. Raises TooLarge, Implausible with each field at fault"""
    rows, is_list = _rows(request)
    if is_list:
        raise Implausible("Send one object.")
    return _read(resource, rows, is_list)[0]


def _rows(request: Request) -> tuple[list[Any], bool]:
    said = request.META.get("CONTENT_LENGTH") or "0"
    if said.isdecimal() and int(said) > settings.DATA_UPLOAD_MAX_MEMORY_SIZE:
        raise TooLarge
    sent = request.data
    rows = list(sent) if isinstance(sent, list) else [sent]
    if not all(isinstance(row, dict) for row in rows):
        raise Implausible("Send one record as an object, or a list of them.")
    if not 1 <= len(rows) <= MOST:
        raise Implausible(f"A list of {len(rows)} records can't be taken; send 1 to {MOST}.")
    return rows, isinstance(sent, list)


def _read(resource: Resource, rows: list[Sent], is_list: bool) -> list[Sent]:
    faults = list(_unknown(resource, rows, is_list))
    reader = resource.draft_shape(data=rows, many=True)
    if not reader.is_valid():
        faults += _unreadable(resource, reader.errors, is_list)
    if faults:
        raise Implausible.of(*faults)
    found: list[Sent] = reader.validated_data
    return found


def _unknown(resource: Resource, rows: list[Sent], is_list: bool) -> Iterable[Fault]:
    for place, row in enumerate(rows):
        for name in row.keys() - resource.fields.keys():
            said = str(name)[:40].encode(errors="replace").decode()
            yield Fault(_at(said, place, is_list), f"There is no field {said!r}.", ", ".join(resource.written))


def _unreadable(resource: Resource, errors: Any, is_list: bool) -> Iterable[Fault]:
    for place, of_row in sorted(errors.items()) if isinstance(errors, dict) else enumerate(errors):
        for name, details in of_row.items():
            field = resource.written[name]
            first = _first(details)
            told = f"{name} is missing." if first.code in ("required", "null", "blank") else f"{name}: {first}"
            yield Fault(_at(name, place, is_list), told, field.accepted)


def _first(details: Any) -> ErrorDetail:
    """The first of the faults of a field; those of a list of words lie by the place of the word."""
    while not isinstance(details, ErrorDetail):
        details = next(iter(details.values() if isinstance(details, dict) else details))
    return details


def _at(name: str, place: int, is_list: bool) -> str:
    """Where a fault lies: in a list its place is said too, from 0."""
    return f"[{place}].{name}" if is_list else name


def _things(thing: Thing, sent: list[Sent], named: Job | None, asker: Asker, is_list: bool) -> dict[Any, Any]:
    """What the records are about, all of one job that the person is on; of another job it is as unknown as none."""
    wanted = thing.model._default_manager.filter(**{f"{thing.column}__in": {one[thing.field] for one in sent}})
    jobs = [named.id] if named else asker.all_jobs()
    rows = wanted.filter(**{f"{thing.of_job}__in": jobs}).select_related(*thing.related)
    found = {getattr(one, thing.column): one for one in rows}
    told = f"There is no such {thing.model._meta.verbose_name}."
    faults = [
        Fault(_at(thing.field, place, is_list), told, thing.accepted)
        for place, one in enumerate(sent)
        if one[thing.field] not in found
    ]
    if faults:
        raise Implausible(told, faults)
    if len({getattr(one, thing.of_job) for one in found.values()}) > 1:
        raise Implausible("The records are of several jobs; send one list for each job.")
    return found


def _named(field: Field, name: str, sent: list[Sent], job: Job, is_list: bool) -> dict[str, Master]:
    """The rows of the plan that one field names, by their names."""
    assert field.refers is not None
    wanted = {one[name] for one in sent if one.get(name)}
    if not wanted:
        return {}
    rows = field.refers._default_manager.filter(job=job, **{f"{field.named}__in": wanted})
    found = {getattr(row, field.named): row for row in rows}
    faults = [
        Fault(_at(name, place, is_list), f"{name}: {job.code} has no {one[name]!r}.", field.accepted)
        for place, one in enumerate(sent)
        if one.get(name) and one[name] not in found
    ]
    if faults:
        raise Implausible.of(*faults)
    return found


def _draft(
    resource: Resource,
    sent: Sent,
    job: Job,
    thing: Model,
    named: Mapping[str, Mapping[str, Master]],
    stored: Any,
    user: User,
) -> Any:
    """One draft; what was left out is as it is stored already, else as the resource's default has it."""
    values: dict[str, Any] = {"job": job, resource.thing.name: thing}
    for name, field in resource.written.items():
        if name in (resource.thing.field, "time") or name not in sent:
            continue
        value = field.take(sent[name])
        values[field.attribute] = named[name].get(value) if field.refers else value
    if "time" in resource.written:
        values["done_at"] = _moment(job, sent["date"], sent.get("time"))
    draft = resource.model(**values)
    for attribute, default in resource.defaults.items():
        if not values.get(attribute.removesuffix("_id")):
            setattr(draft, attribute, getattr(stored, attribute) if stored else default(draft, user))
    return draft


def _moment(job: Job, day: date, clock: time | None) -> datetime | None:
    return datetime.combine(day, clock, tzinfo=zone_of(job)) if clock else None
