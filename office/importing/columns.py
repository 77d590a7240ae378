"""Sheets as tables of columns: the header, how a cell is read, and the field it fills."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal
from functools import cached_property
from typing import Any

from django.db import models

from office.importing.cells import CellError, shown
from office.importing.parsers import Moment, Parse, Setting, text


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a sheet.

    name      the header as documents write it
    parse     turns a cell that is not blank into its value
    field     the model's column that the value fills, where it fills one as it is
    needed    the column must be there      filled   and must say something in every row
    names     what a cell's text refers to, for example "heat"; the reference is resolved later
    check     further sentences against a value, for example what the action would refuse
    """

    name: str
    parse: Parse = text
    field: str = ""
    needed: bool = False
    filled: bool = False
    names: str = ""
    check: Callable[[Any, Setting], str] | None = None
    is_typed: bool = False


@dataclass(frozen=True)
class SheetForm:
    """One kind of sheet: its columns, and those whose values are a row's identity.

    finer    columns that tell rows of one identity apart where there are several (two processes of one test)
    """

    name: str
    model: type[models.Model] | None
    columns: tuple[Column, ...]
    identity: tuple[str, ...]
    finer: tuple[str, ...] = ()
    may_repeat: bool = False

    @cached_property
    def by_header(self) -> dict[str, Column]:
        """Columns by their header without what is ignored."""
        return {header(column.name): column for column in self.columns}

    @cached_property
    def by_name(self) -> dict[str, Column]:
        """Columns by their name."""
        return {column.name: column for column in self.columns}


def header(written: str) -> str:
    """Return a header, or a sheet's name, without case, spacing, hyphens and anything in parentheses."""
    return re.sub(r"[\W_]+", "", re.sub(r"\([^)]{0,200}\)", "", written).casefold())


def needed(name: str, parse: Parse = text, field: str = "", **more: Any) -> Column:
    """A column that must be there and be filled."""
    return Column(name, parse, field, needed=True, filled=True, **more)


def present(name: str, parse: Parse = text, field: str = "", **more: Any) -> Column:
    """A column that must be there; a cell of it may be blank."""
    return Column(name, parse, field, needed=True, **more)


def optional(name: str, parse: Parse = text, field: str = "", **more: Any) -> Column:
    """A column that may be absent."""
    return Column(name, parse, field, **more)


def fitted(value: Any, field: "models.Field[Any, Any] | None") -> Any:
    """Return a value as the model's column keeps it.

    Raises CellError for a text longer, or a number larger, than the column holds
    """
    if isinstance(field, models.CharField) and isinstance(value, str) and len(value) > (field.max_length or 0):
        raise CellError(f"{shown(value)} has {len(value)} characters; accepted are at most {field.max_length}")
    if isinstance(field, models.DecimalField) and isinstance(value, Decimal):
        if abs(value) >= Decimal(10) ** (field.max_digits - field.decimal_places):
            raise CellError(f"{value:f} is too large a number")
        kept = value.quantize(Decimal(1).scaleb(-field.decimal_places), ROUND_HALF_EVEN)
        return kept.quantize(Decimal(1)) if kept == kept.to_integral_value() else kept.normalize()
    return value


def field_of(form: SheetForm, column: Column) -> "models.Field[Any, Any] | None":
    """Return the model's column that a sheet's column fills."""
    if form.model is None or not column.field:
        return None
    found = form.model._meta.get_field(column.field)
    return found if isinstance(found, models.Field) else None


def day_of(value: Moment | None) -> Any:
    """Return the day of a moment."""
    return value.day if value else None
