"""Walk a resource by cursor: rows in the order of a key that never changes, so that none is seen twice or missed."""

import base64
import binascii
import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db.models import Model, QuerySet
from rest_framework.request import Request

from records.api.asker import Asker
from records.paging import Place, cut
from records.refusals import Fault, Implausible

MOST, USUAL = 500, 100
PARAMETERS = ("job", "cursor", "limit")


@dataclass(frozen=True, slots=True)
class Asked:
    """What an address asks of a list."""

    job: UUID | None
    cursor: str
    limit: int
    filters: dict[str, UUID]


def asked(request: Request, asker: Asker, filters: tuple[str, ...], verb: str = "read") -> Asked:
    """Read what a list is asked for.

    Raises  Implausible for a parameter that is unknown or can't be read, Http404 for a job that the person is not on,
            NotAllowed for one where they may not do the deed
    """
    query = request.query_params
    if unknown := [name for name in query if name not in (*PARAMETERS, *filters)]:
        accepted = ", ".join((*PARAMETERS, *filters))
        raise Implausible.of(Fault(unknown[0][:40], f"There is no parameter {unknown[0][:40]!r} here.", accepted))
    job = asker.job_called(query["job"], verb).id if "job" in query else None
    wanted = {name: _id(name, query[name]) for name in filters if name in query}
    return Asked(job, query.get("cursor", ""), _limit(query.get("limit", str(USUAL))), wanted)


def page(
    rows: QuerySet[Any], keys: tuple[str, ...], model: type[Model], wanted: Asked, request: Request
) -> tuple[list[Any], str | None]:
    """Return a page of rows and the address of the next, None on the last; one query."""
    after = _place(wanted.cursor, keys, model) if wanted.cursor else None
    found = cut(rows, keys, after=after, before=None, most=wanted.limit)
    if not found.rows or not found.has_next:
        return list(found.rows), None
    last: Any = found.rows[-1]
    return list(found.rows), _following(request, [last[key] for key in keys])


def _following(request: Request, place: Sequence[Any]) -> str:
    """The address of the page after a place."""
    kept = {name: value for name, value in request.query_params.items() if name != "cursor"}
    address = f"{request.path}?{urlencode(kept | {'cursor': _written(place)})}"
    return str(request.build_absolute_uri(address))


def _written(place: Sequence[Any]) -> str:
    return base64.urlsafe_b64encode(json.dumps([str(part) for part in place]).encode()).decode().rstrip("=")


def _parts(cursor: str) -> list[str]:
    try:
        parts = json.loads(base64.urlsafe_b64decode(cursor.encode() + b"=" * (-len(cursor) % 4)))
    except (ValueError, binascii.Error, RecursionError) as error:
        raise _unreadable() from error
    if not isinstance(parts, list) or not all(isinstance(part, str) and "\0" not in part for part in parts):
        raise _unreadable()
    return parts


def _place(cursor: str, keys: tuple[str, ...], model: type[Model]) -> Place:
    try:
        pairs = zip(keys, _parts(cursor), strict=True)
        return tuple(_column(model, key).to_python(part) for key, part in pairs)
    except (ValueError, ValidationError) as error:
        raise _unreadable() from error


def _unreadable() -> Implausible:
    told = "The cursor can't be read; begin without one, then follow `next`."
    return Implausible.of(Fault("cursor", told, "a cursor from `next`"))


def _column(model: type[Model], key: str) -> Any:
    return model._meta.get_field(key.removesuffix("_id"))


def _limit(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) < 6 and 1 <= int(text) <= MOST):
        raise Implausible.of(Fault("limit", f"{text[:20]!r} is no number of rows for a page.", f"1 to {MOST}"))
    return int(text)


def _id(name: str, text: str) -> UUID:
    try:
        return UUID(text)
    except ValueError as error:
        raise Implausible.of(Fault(name, f"{text[:40]!r} is no id.", "a UUID")) from error
