"""Facts as unsaved records, made column by column, and compared with what is recorded."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import cache
from itertools import repeat
from typing import Any
from uuid import UUID

from django.db import models
from django.db.models.base import ModelState

from office.importing.changes import spoken
from records.models import Withdrawal
from records.models.base import JointRecord, new_ids

Identity = tuple[Any, ...]
CHANGED_FACT = "a changed fact comes in through the Corrections sheet"


@dataclass(slots=True)
class Chain:
    """A record and the corrections that replaced it, oldest first.

    met  how many of the records a workbook has spoken of so far
    """

    records: list[Any]
    is_withdrawn: bool = False
    met: int = 1

    @property
    def latest(self) -> Any:
        """The record that counts."""
        return self.records[-1]


@dataclass(slots=True)
class Made:
    """The drafts of one sheet: each with the index of its row and its identity, and which columns the sheet gave."""

    model: type[JointRecord]
    drafts: list[Any] = field(default_factory=list)
    rows: list[int] = field(default_factory=list)
    identities: list[Identity] = field(default_factory=list)


@cache
def _fields(model: type[models.Model]) -> tuple[tuple[str, Any, bool], ...]:
    """(column name, default, whether the default is made anew) of each stored column, in the model's order."""
    found = []
    for one in model._meta.concrete_fields:
        default = one.default if one.has_default() else ("" if isinstance(one, models.CharField) else None)
        found.append((one.attname, default, callable(default)))
    return tuple(found)


def make_drafts(model: type[models.Model], size: int, columns: dict[str, Any]) -> list[Any]:
    """Make `size` unsaved rows.

    columns  by column name: a list of one value a row, where None means the default, or one value for all
    """
    sources: list[Iterable[Any]] = []
    for name, default, is_made in _fields(model):
        if name == "id":
            sources.append(new_ids(size))
            continue
        given = columns.get(name)
        if isinstance(given, list):
            sources.append(_filled(given, default, is_made))
        elif given is not None:
            sources.append(repeat(given, size))
        else:
            sources.append((default() for _ in range(size)) if is_made else repeat(default, size))
    names = [name for name, _, _ in _fields(model)]
    return [_made(model, names, values) for values in zip(*sources, strict=False)] if size else []


def _made(model: type[models.Model], names: Sequence[str], values: Sequence[Any]) -> Any:
    """An unsaved row of which every column is given: what the constructor makes, at a tenth of its cost."""
    row = model.__new__(model)
    row._state = ModelState()
    row.__dict__.update(zip(names, values, strict=True))
    return row


def _filled(values: list[Any], default: Any, is_made: bool) -> Iterable[Any]:
    if default is None or None not in values:
        return values
    return [(default() if is_made else default) if value is None else value for value in values]


def stored_chains(
    model: type[JointRecord], joint_ids: Iterable[UUID], names: Sequence[str]
) -> dict[Identity, list[Chain]]:
    """Return everything recorded on joints by identity, each record with its corrections; two queries a few thousand.

    names  the columns that make the identity
    """
    wanted = list(set(joint_ids))
    rows: dict[UUID, Any] = {}
    gone: set[UUID] = set()
    for start in range(0, len(wanted), 5000):
        batch = wanted[start : start + 5000]
        rows |= {row.pk: row for row in model._default_manager.filter(joint_id__in=batch)}
        gone |= set(Withdrawal.objects.filter(joint_id__in=batch).values_list("record", flat=True))
    after = {row.replaces_id: row for row in rows.values() if row.replaces_id}
    found: dict[Identity, list[Chain]] = {}
    firsts = sorted((row for row in rows.values() if not row.replaces_id), key=lambda row: (row.recorded_at, row.pk))
    for row in firsts:
        chain = [row]
        while newer := after.get(chain[-1].pk):
            chain.append(newer)
        kept = Chain(chain, is_withdrawn=any(one.pk in gone for one in chain))
        for identity in {tuple(getattr(one, name) for name in names) for one in chain}:
            found.setdefault(identity, []).append(kept)
    return found


def says_the_same(draft: Any, record: Any, given: Sequence[str]) -> bool:
    """Say whether a record says what the sheet gives of a draft; what the sheet leaves blank is not compared."""
    for name in given:
        value = getattr(draft, name)
        if value is not None and value != "" and value != getattr(record, name):
            return False
    return True


def already_recorded(draft: Any, record: Any, given: Sequence[str]) -> str:
    """Return the sentence for a fact that differs from the one recorded."""
    values = {name: getattr(draft, name) for name in given if getattr(draft, name) not in (None, "")}
    said = [
        f"{name.replace('_', ' ')} {spoken(name, getattr(record, name))}"
        for name, value in values.items()
        if getattr(record, name) != value
    ]
    return f"already recorded otherwise ({', '.join(said)}); {CHANGED_FACT}"
