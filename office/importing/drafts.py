"""Facts as unsaved records, made column by column, and compared with what is recorded."""

from collections.abc import Iterable, Iterator, MutableSequence, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import repeat
from operator import itemgetter
from typing import Any
from uuid import UUID

from django.db import models
from django.db.models.base import ModelState

from office.importing.changes import field_words, spoken
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


class Drafts(MutableSequence[Any]):
    """Unsaved rows of one model, held as their values and made anew each time they are taken out.

    A row of a model takes four times the memory of its values: of hundreds of thousands only those of a batch are made.
    """

    def __init__(self, model: type[models.Model], values: Iterable[Sequence[Any]] = ()) -> None:
        """Values stand in the order of the model's columns."""
        self.model, self._values = model, list(values)
        self._names = [name for name, _, _ in _fields(model)]

    def __len__(self) -> int:
        return len(self._values)

    def __iter__(self) -> Iterator[Any]:
        return map(self._made, self._values)

    def __getitem__(self, place: Any) -> Any:
        found = self._values[place]
        return list(map(self._made, found)) if isinstance(place, slice) else self._made(found)

    def __setitem__(self, place: Any, row: Any) -> None:
        self._values[place] = self._said(row)

    def __delitem__(self, place: Any) -> None:
        del self._values[place]

    def insert(self, index: int, value: Any) -> None:
        """Put a row before another."""
        self._values.insert(index, self._said(value))

    def extend(self, values: Iterable[Any]) -> None:
        """Put rows at the end."""
        self._values += values._values if isinstance(values, Drafts) else map(self._said, values)

    def reverse(self) -> None:
        """Turn the order round."""
        self._values.reverse()

    def column(self, name: str) -> list[Any]:
        """The values of one column."""
        return list(map(itemgetter(self._names.index(name)), self._values))

    def _said(self, row: Any) -> Sequence[Any]:
        return tuple(row.__dict__[name] for name in self._names)

    def _made(self, values: Sequence[Any]) -> Any:
        """An unsaved row of which every column is given: what the constructor makes, at a tenth of its cost."""
        row = self.model.__new__(self.model)
        row._state = ModelState()
        row.__dict__.update(zip(self._names, values, strict=True))
        return row


@dataclass(slots=True)
class Made:
    """The drafts of one sheet, each with the index of its row."""

    drafts: Drafts
    rows: list[int]


@cache
def _fields(model: type[models.Model]) -> tuple[tuple[str, Any, bool], ...]:
    """(column name, default, whether the default is made anew) of each stored column, in the model's order."""
    found = []
    for one in model._meta.concrete_fields:
        default = one.default if one.has_default() else ("" if isinstance(one, models.CharField) else None)
        found.append((one.attname, default, callable(default)))
    return tuple(found)


def make_drafts(model: type[models.Model], size: int, columns: dict[str, Any]) -> Drafts:
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
    return Drafts(model, zip(*sources, strict=False) if size else ())


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


def already_recorded(draft: Any, record: Any, given: Sequence[str], units: str) -> str:
    """Return the sentence for a fact that differs from the one recorded."""
    values = {name: getattr(draft, name) for name in given if getattr(draft, name) not in (None, "")}
    said = [
        f"{field_words(name)} {spoken(name, getattr(record, name), units)}"
        for name, value in values.items()
        if getattr(record, name) != value
    ]
    return f"already recorded otherwise ({', '.join(said)}); {CHANGED_FACT}"
