"""The fields of the web API: the column each is read from, and how a program may write it."""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, time
from decimal import Decimal
from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from records.models.base import Master

EARLIEST, LATEST = datetime(1990, 1, 1, tzinfo=UTC), datetime(2100, 1, 1, tzinfo=UTC)
CLOCK = r"^\d\d:\d\d(:\d\d)?$"
REQUIRED, OPTIONAL = "required", "optional"


def as_stored(value: Any) -> Any:
    """A value that JSON writes as it is."""
    return value


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a resource.

    columns    what is read; `show` makes the field's value of it, and `take` what is stored of a value that was sent
    kind       the field as the schema has it, with its options
    write      REQUIRED or OPTIONAL in what a program sends; empty: read only
    attribute  the attribute of the model that is written
    refers     the plan's rows that it names, by their column `named`
    """

    columns: tuple[str, ...]
    kind: type[serializers.Field]
    options: Mapping[str, Any] = field(default_factory=dict)
    show: Callable[..., Any] = as_stored
    take: Callable[[Any], Any] = as_stored
    write: str = ""
    attribute: str = ""
    refers: type[Master] | None = None
    named: str = ""
    accepted: str = ""

    def required(self) -> "Field":
        """The same field, without which nothing can be recorded."""
        return replace(self, write=REQUIRED)

    def optional(self) -> "Field":
        """The same field, which may be left out."""
        return replace(self, write=OPTIONAL)

    def to_read(self) -> serializers.Field:
        """The field as an answer has it."""
        unbounded = {key: value for key, value in self.options.items() if key not in ("max_length",)}
        kind = serializers.FloatField if self.kind is serializers.DecimalField else self.kind
        if kind is serializers.FloatField:
            unbounded = {key: value for key, value in unbounded.items() if key in ("help_text", "allow_null")}
        return kind(read_only=True, **unbounded)

    def to_write(self) -> serializers.Field:
        """The field as a program sends it."""
        options = dict(self.options)
        if self.kind is serializers.CharField:
            options["allow_blank"] = self.write == OPTIONAL
        if self.write == REQUIRED:
            options.pop("allow_null", None)
        return self.kind(required=self.write == REQUIRED, **options)


def text(column: str, *, most: int = 200, about: str = "", nullable: bool = False) -> Field:
    """Words; `nullable` where they come from a row that may be absent."""
    options: dict[str, Any] = {"max_length": most}
    if about:
        options["help_text"] = about
    if nullable:
        options["allow_null"] = True
    return Field((column,), serializers.CharField, options, attribute=column, accepted=f"up to {most} characters")


def number(column: str, *, places: int = 6) -> Field:
    """A figure in the unit that its name ends with, null where it is not known; exact within its places."""
    options = {"max_digits": 13, "decimal_places": places, "coerce_to_string": False, "allow_null": True}
    accepted = f"a number with at most {places} decimal places"
    return Field((column,), serializers.DecimalField, options, show=figure, attribute=column, accepted=accepted)


def whole(column: str, *, least: int | None = None, most: int | None = None, nullable: bool = False) -> Field:
    """A count."""
    options = {"min_value": least, "max_value": most, "allow_null": nullable}
    given = {key: value for key, value in options.items() if value}
    accepted = f"a whole number, {least} to {most}" if most else "a whole number"
    return Field((column,), serializers.IntegerField, given, attribute=column, accepted=accepted)


def flag(column: str, *, nullable: bool = False, about: str = "") -> Field:
    """A yes or no."""
    options: dict[str, Any] = {"allow_null": True} if nullable else {}
    if about:
        options["help_text"] = about
    return Field((column,), serializers.BooleanField, options, attribute=column, accepted="true or false")


def day(column: str, *, nullable: bool = True) -> Field:
    """A day, as 2026-03-31."""
    options = {"allow_null": True} if nullable else {}
    return Field((column,), serializers.DateField, options, attribute=column, accepted="a day as 2026-03-31")


def moment(column: str, *, nullable: bool = False) -> Field:
    """A moment, with its zone."""
    options = {"allow_null": True} if nullable else {}
    accepted = "a moment as 2026-03-31T14:05:00Z"
    return Field((column,), MomentField, options, attribute=column, accepted=accepted)


def key(column: str, *, nullable: bool = False, about: str = "") -> Field:
    """The id of a row."""
    options: dict[str, Any] = {"allow_null": True} if nullable else {}
    if about:
        options["help_text"] = about
    return Field((column,), serializers.UUIDField, options, attribute=column, accepted="a UUID")


def one_of(column: str, words: Sequence[str]) -> Field:
    """One of some words."""
    choices = [word for word in words if word]
    options = {"choices": choices, "allow_blank": "" in words}
    return Field((column,), serializers.ChoiceField, options, attribute=column, accepted=", ".join(choices))


def translated(column: str, words: Mapping[str, str]) -> Field:
    """One of some words that are stored as others: `words` leads from what is stored to what is said."""
    said = one_of(column, list(words.values()))
    stored = {word: value for value, word in words.items()}
    return replace(said, show=lambda value: words.get(value, value), take=stored.__getitem__)


def words_of(column: str, *, about: str = "") -> Field:
    """A list of words; of a plan's row an empty one is no restriction."""
    options = {"help_text": about} if about else {}
    return Field((column,), WordsField, options, attribute=column, accepted="a list of words")


def object_of(column: str) -> Field:
    """A map of words to words."""
    return Field((column,), MapField, attribute=column)


def named(refers: type[Master], attribute: str, by: str = "number") -> Field:
    """A row of the plan by its name: a stamp by its code, a filler lot by its number."""
    read = text(f"{attribute}__{by}", nullable=True, most=80)
    accepted = f"a {refers._meta.verbose_name} of this job, by its {by}"
    return replace(read, attribute=attribute, refers=refers, named=by, accepted=accepted)


def person(attribute: str) -> Field:
    """A person by name, never by sign-in."""
    columns = tuple(f"{attribute}__{name}" for name in ("first_name", "last_name", "username"))
    return Field(columns, serializers.CharField, {"allow_null": True}, show=person_called)


def computed(
    columns: Sequence[str],
    kind: type[serializers.Field],
    show: Callable[..., Any],
    *,
    accepted: str = "",
    **options: Any,
) -> Field:
    """A value made of several columns."""
    return Field(tuple(columns), kind, options, show=show, accepted=accepted)


def person_called(first: str | None, last: str | None, username: str | None) -> str | None:
    """A person's name as pages say it."""
    return f"{first or ''} {last or ''}".strip() or username


def figure(value: Decimal | None) -> float | int | None:
    """A decimal as a JSON number; the 13 digits that a column keeps come back exactly from it."""
    return None if value is None else float(value)


class MomentField(serializers.DateTimeField):
    """A moment of a year that every database and every zone can hold."""

    def to_internal_value(self, value: Any) -> datetime:
        """Read it, and refuse what is from no job's days."""
        found: datetime = super().to_internal_value(value)
        if not EARLIEST <= found <= LATEST:
            raise serializers.ValidationError(f"{value} is out of all time.", code="range")
        return found


@extend_schema_field({"type": "string", "pattern": CLOCK})
class ClockField(serializers.TimeField):
    """A time of day on the job's clock, without a zone: one that came with it would be lost in silence."""

    def to_internal_value(self, value: Any) -> time:
        """Read it."""
        if not (isinstance(value, str) and re.fullmatch(CLOCK, value, re.ASCII)):
            raise serializers.ValidationError("This is no time of day.", code="invalid")
        found: time = super().to_internal_value(value)
        return found


class WordsField(serializers.ListField):
    """A list of words."""

    child = serializers.CharField()


class MapField(serializers.DictField):
    """A map of words to words."""

    child = serializers.CharField()
