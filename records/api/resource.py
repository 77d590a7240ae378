"""A resource of the web API: one model, its fields, and where it has any, the action that writes it."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, Protocol

from django.db.models import Model, QuerySet
from rest_framework import serializers

from records.api.fields import Field
from records.models import Job, Joint, User
from records.models.base import Record

Row = Mapping[str, Any]
# Units that the name of a field ends with; the words of a refusal leave them out.
UNITS = ("_mm_min", "_mm", "_degrees", "_c", "_s", "_percent", "_id")


class Act(Protocol):
    """An action that records a batch, all or nothing."""

    def __call__(self, drafts: Sequence[Any], *, job: Job, by: User) -> Sequence[Record]: ...


@dataclass(frozen=True)
class Children:
    """Rows that stand inside a row of a resource: the passes of a procedure."""

    model: type[Model]
    parent: str
    fields: Mapping[str, Field]


@dataclass(frozen=True, slots=True)
class Thing:
    """What each record of a resource is about: the field that names it, and the row of the plan that it is.

    name     of the model's attribute; column: that a program names it by
    of_job   the column of the thing that names its job
    related  what is read with it, since defaults ask for it
    """

    field: str
    name: str
    model: type[Model]
    column: str = "id"
    of_job: str = "job_id"
    related: tuple[str, ...] = ("job",)

    @property
    def accepted(self) -> str:
        """What names one."""
        word = str(self.model._meta.verbose_name)
        return f"the id of a {word}" if self.column == "id" else f"the {self.column} of a {word}"


A_JOINT = Thing("joint_id", "joint", Joint, related=("job", "procedure"))


@dataclass(frozen=True)
class Resource:
    """What stands under one address of the API.

    path      of its address, for example "fit-ups"
    one       what one of its rows is called, for example "FitUp"
    about     a sentence for the schema
    of_job    the column that names the job of a row
    keys      the columns that order it, unique together and never changed: the cursor's
    filters   further columns to filter by, each a row's id
    extra     columns that are worked out by the database
    read_verb of the table of permissions, for those who read
    verb      the same for those who write; `act` is the action
    thing     what each of its records is about
    defaults  by attribute what a record says where the program does not: from its joint, its draft and the person
    """

    path: str
    one: str
    about: str
    model: type[Model]
    fields: Mapping[str, Field]
    keys: tuple[str, ...] = ("id",)
    of_job: str = "job_id"
    filters: tuple[str, ...] = ()
    extra: Callable[[], Mapping[str, Any]] = dict
    children: Mapping[str, Children] = field(default_factory=dict)
    read_verb: str = "read"
    verb: str = ""
    act: Act | None = None
    thing: Thing = A_JOINT
    defaults: Mapping[str, Callable[[Any, User], Any]] = field(default_factory=dict)
    rows: Callable[[], QuerySet[Any]] | None = None

    @cached_property
    def columns(self) -> tuple[str, ...]:
        """The columns that are read."""
        read = dict.fromkeys(column for one in self.fields.values() for column in one.columns)
        return tuple(read | dict.fromkeys((*self.keys, "id") if self.children else self.keys))

    def all(self) -> QuerySet[Any]:
        """Every row of every job, as values of the columns that are read; without order."""
        rows = self.rows() if self.rows else self.model._default_manager.all()
        return rows.order_by().annotate(**self.extra()).values(*self.columns)

    def shown(self, rows: Iterable[Row]) -> list[dict[str, Any]]:
        """Rows as JSON has them; one query more for each kind of children."""
        rows = list(rows)
        told = [shown(row, self.fields) for row in rows]
        for name, kind in self.children.items():
            inside = _inside(kind, [row["id"] for row in rows])
            for one, row in zip(told, rows, strict=True):
                one[name] = inside.get(row["id"], [])
        return told

    @cached_property
    def written(self) -> dict[str, Field]:
        """The fields that a program may send."""
        return {name: one for name, one in self.fields.items() if one.write}

    @cached_property
    def read_shape(self) -> type[serializers.Serializer]:
        """A row, as the schema has it."""
        fields: dict[str, serializers.Field] = {name: one.to_read() for name, one in self.fields.items()}
        for name, kind in self.children.items():
            inner = {word: one.to_read() for word, one in kind.fields.items()}
            fields[name] = shape(f"{self.one}{name.capitalize()}", inner)(many=True, read_only=True)
        return shape(self.one, fields)

    @cached_property
    def page_shape(self) -> type[serializers.Serializer]:
        """A page of rows, as the schema has it."""
        return page_shape(self.one, self.read_shape)

    @cached_property
    def draft_shape(self) -> type[serializers.Serializer]:
        """What a program sends, as the schema has it and as it is read."""
        return shape(f"{self.one}Draft", {name: one.to_write() for name, one in self.written.items()})

    def field_called(self, word: str) -> str:
        """The field that a refusal means by its word: "gap 12" is `gap_12_mm`."""
        plain = word.lower().replace(" ", "_").replace("-", "_")
        return self._words.get(plain, word)

    @cached_property
    def _words(self) -> dict[str, str]:
        found = {}
        for name, one in self.written.items():
            found[one.attribute] = name
            found[next((name.removesuffix(unit) for unit in UNITS if name.endswith(unit)), name)] = name
        return found | {name: name for name in self.written}


def shown(row: Row, fields: Mapping[str, Field]) -> dict[str, Any]:
    """One row as JSON has it."""
    return {name: one.show(*(row[column] for column in one.columns)) for name, one in fields.items()}


def shape(name: str, fields: Mapping[str, serializers.Field]) -> type[serializers.Serializer]:
    """A serializer of these fields."""
    return type(name, (serializers.Serializer,), dict(fields))


def page_shape(one: str, rows: type[serializers.Serializer]) -> type[serializers.Serializer]:
    """A page of rows, with the address of the next."""
    following = serializers.URLField(read_only=True, allow_null=True, help_text="The next page; null on the last")
    return shape(f"{one}Page", {"next": following, "results": rows(many=True, read_only=True)})


def _inside(kind: Children, parents: Sequence[Any]) -> dict[Any, list[dict[str, Any]]]:
    columns = [kind.parent, *(column for one in kind.fields.values() for column in one.columns)]
    found: dict[Any, list[dict[str, Any]]] = {}
    rows = kind.model._default_manager.filter(**{f"{kind.parent}__in": parents}).order_by("id")
    for row in rows.values(*dict.fromkeys(columns)):
        found.setdefault(row[kind.parent], []).append(shown(row, kind.fields))
    return found
