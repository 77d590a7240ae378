"""Joints of a job that is made in one batch, held back until they are judged, so that each is written once."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any
from uuid import UUID

from records import bulk, meanwhile
from records.kept import as_stored
from records.lookups import Keys
from records.models import Joint
from records.texts import reader

Row = tuple[Any, ...]
_FIELDS = {field.attname: field for field in Joint._meta.concrete_fields}
_DERIVED = tuple(name for name in _FIELDS if name.removesuffix("_id") in Joint.DERIVED)
_PLANNED = tuple(name for name in _FIELDS if name not in _DERIVED)
_planned, _derived = (reader([_FIELDS[name] for name in names]) for names in (_PLANNED, _DERIVED))


class HeldJoints:
    """What is planned of the joints, by key; as values, which take a quarter of a row's memory."""

    def __init__(self) -> None:
        self._rows: dict[UUID, Row] = {}
        self._unjudged: Row = ()
        self._is_over = False

    def __bool__(self) -> bool:
        return bool(self._rows)

    def hold(self, joints: Sequence[Joint]) -> bool:
        """Hold joints back, of which nothing is derived yet; False where they are to be written now."""
        if self._is_over or not meanwhile.hold_back(Joint._meta.db_table, self.write):
            return False
        self._rows.update(zip((joint.pk for joint in joints), map(_planned, joints), strict=True))
        self._unjudged = _derived(joints[0])
        return True

    def take(self) -> list[UUID]:
        """The keys of those held back, in their order; whoever takes them judges and writes every one."""
        meanwhile.take_over()
        return sorted(self._rows, key=lambda key: key.int)

    def write(self, judged: Mapping[UUID, Row] | None = None) -> None:
        """Write joints with what was derived of them; where nothing is given, all that are held, as yet unjudged."""
        some = dict.fromkeys(self._rows, self._unjudged) if judged is None else judged
        rows = [self._rows.pop(key) + derived for key, derived in some.items()]
        bulk.insert_values(Joint, (*_PLANNED, *_DERIVED), rows, len(rows))
        if not self._rows:
            self._is_over = True
            meanwhile.arrived()

    def reader(self, columns: Sequence[str]) -> Callable[[Iterable[UUID]], list[Row]]:
        """How to read columns of some joints, as `values_list` names them and gives them back; one query a relation."""

        def read(keys: Iterable[UUID]) -> list[Row]:
            planned = dict(zip(_PLANNED, zip(*(self._rows[key] for key in keys), strict=True), strict=True))
            related = _related(planned, columns)
            found: list[Sequence[Any]] = []
            for name in columns:
                relation, is_of_other, _ = name.partition("__")
                if is_of_other:
                    values = related[name]
                    found.append([values[key] if key else None for key in planned[f"{relation}_id"]])
                else:
                    found.append(as_stored(_FIELDS[name], planned[name]))
            return list(zip(*found, strict=True))

        return read


def _related(planned: Mapping[str, Sequence[Any]], columns: Sequence[str]) -> dict[str, dict[UUID, Any]]:
    """By column of another row of the job, `sheet__drawing` for example: its value by that row's key."""
    wanted: dict[str, list[str]] = {}
    for name in columns:
        relation, is_of_other, _ = name.partition("__")
        if is_of_other:
            wanted.setdefault(relation, []).append(name)
    found: dict[str, dict[UUID, Any]] = {}
    for relation, names in wanted.items():
        other: Any = Joint._meta.get_field(relation).related_model
        keys = Keys({key for key in planned[f"{relation}_id"] if key})
        fields = [name.partition("__")[2] for name in names]
        rows = other._default_manager.filter(id__among=keys).values_list("id", *fields)
        found |= {name: {row[0]: row[place] for row in rows} for place, name in enumerate(names, start=1)}
    return found
