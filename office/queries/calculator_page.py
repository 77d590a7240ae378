"""What the page of a calculator shows: its fields with what is typed in them, and the answer in words."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from joints.cautions import cautions_for
from office.queries.calculator_drawings import drawing, drawing_svg, manner
from office.queries.calculator_source import source_rows
from office.queries.calculators import JOB, UNITS, Setting, answer
from reports.section_marks import Sheet
from rules.calculators.asked import ComputeError
from rules.calculators.described import DESCRIBED, GROUPS, Description
from rules.calculators.field import Field
from rules.calculators.fields import field_of, words
from rules.calculators.results import Line, in_words
from rules.compute import CALCULATORS, Calculator
from rules.pipe import parse_nps
from rules.size_words import show_size

FEW = 3  # so many values that are not needed stand in front without being asked to
_BARE = re.compile(r"[-+0-9. /]+")


@dataclass(frozen=True, slots=True)
class Option:
    """A value to pick."""

    value: str
    words: str
    is_chosen: bool


@dataclass(frozen=True, slots=True)
class FieldShown:
    """A field of the page; `options` where it is picked from a list, `suggested` where it may be typed too."""

    key: str
    about: Field
    unit: str
    value: str
    example: str
    options: tuple[Option, ...]
    suggested: tuple[str, ...]
    is_needed: bool
    error: str


@dataclass(frozen=True, slots=True)
class FaultShown:
    """What is wrong, with the field it speaks of (empty: with all together)."""

    key: str
    label: str
    message: str


@dataclass(frozen=True, slots=True)
class Answered:
    """An answer in words, ready to be shown."""

    plain: Mapping[str, Any]
    lines: tuple[Line, ...]
    sheet: Sheet | None
    picture: str
    source: list[tuple[str, list[str]]]

    @property
    def headline(self) -> Line:
        """The line that is read first: the verdict where there is one."""
        return next((line for line in self.lines if line.tone), self.lines[0])

    @property
    def exact(self) -> tuple[Line, ...]:
        """The lines whose words round the figure."""
        return tuple(line for line in self.lines if line.exact and line.exact != line.words)


@dataclass(frozen=True, slots=True)
class Page:
    """Everything the page of a calculator shows; `still` names the fields that are needed and empty."""

    calculator: Calculator
    about: Description
    within: Setting
    front: tuple[FieldShown, ...]
    more: tuple[FieldShown, ...]
    answered: Answered | None
    faults: tuple[FaultShown, ...]
    still: tuple[str, ...]
    cautions: tuple[str, ...]
    query: str
    example: str

    @property
    def is_more_open(self) -> bool:
        """Whether something behind "more" has a value, or a fault."""
        return any(one.value or one.error for one in self.more)


def groups() -> list[tuple[str, list[tuple[Calculator, Description]]]]:
    """Return the calculators as the trade groups them."""
    return [
        (group, [(CALCULATORS[name], about) for name, about in DESCRIBED.items() if about.group == group])
        for group in GROUPS
    ]


def page_of(calculator: Calculator, values: Mapping[str, str], within: Setting) -> Page:
    """Return the page with what is typed; nothing typed yet: no answer and no fault. At most one query."""
    about = DESCRIBED[calculator.name]
    given = {key: text.strip() for key, text in values.items() if text.strip()}
    answered, wrong = None, None
    if given:
        try:
            answered = answered_in_words(calculator, given, within)
        except ComputeError as refusal:
            wrong = refusal
    faults = tuple(
        FaultShown(one.field, _label(calculator, one.field), one.message)
        for one in (wrong.faults if wrong else ())
        if not one.is_missing
    )
    still = tuple(_label(calculator, one.field) for one in (wrong.faults if wrong else ()) if one.is_missing)
    told = {one.key: one.message for one in faults}
    front, more = _keys(calculator, about)
    return Page(
        calculator=calculator,
        about=about,
        within=within,
        front=tuple(_shown(calculator, key, given.get(key, ""), told.get(key, ""), within) for key in front),
        more=tuple(_shown(calculator, key, given.get(key, ""), told.get(key, ""), within) for key in more),
        answered=answered,
        faults=faults,
        still=still,
        cautions=cautions_for(about.caution),
        query=_query(given, within),
        example=_query(about.example, within),
    )


def answered_in_words(calculator: Calculator, given: Mapping[str, str], within: Setting) -> Answered:
    """Return the answer with its drawing and source. Raises ComputeError where there is none; at most one query."""
    told = answer(calculator.name, given, within)
    sheet = drawing(told, within.units)
    picture = drawing_svg(sheet, f"{calculator.title}, {manner(calculator.name)}") if sheet else ""
    return Answered(told, in_words(told, within.units), sheet, picture, source_rows(told, within.job))


def asked_rows(calculator: Calculator, told: Mapping[str, Any], units: str) -> list[tuple[str, str]]:
    """Return what was asked as label and words, bare figures with their unit."""
    rows = []
    for key, text in told["inputs"].items():
        field = field_of(calculator.name, key)
        unit = field.how.unit(units)
        bare = unit and _BARE.fullmatch(text.strip())
        size = show_size(parse_nps(text), units) if field.kind == "nps" else ""
        rows.append((field.label, size or (f"{text} {unit}" if bare else words(text))))
    return rows


def _keys(calculator: Calculator, about: Description) -> tuple[list[str], list[str]]:
    """The keys in front, needed ones first, and those behind "more"."""
    in_front = about.front if len(calculator.optional) > FEW else calculator.optional
    front = [*calculator.required, *(key for key in calculator.optional if key in in_front)]
    return front, [key for key in calculator.optional if key not in front]


def _label(calculator: Calculator, key: str) -> str:
    known = (*calculator.required, *calculator.optional)
    return field_of(calculator.name, key).label if key in known else key


def _shown(calculator: Calculator, key: str, value: str, error: str, within: Setting) -> FieldShown:
    about, units = field_of(calculator.name, key), within.units
    is_picked = about.how.is_closed or about.how.is_picked
    return FieldShown(
        key=key,
        about=about,
        unit=about.how.unit(units),
        value=value,
        example=about.example(units),
        options=_options(about, value, units) if is_picked else (),
        suggested=() if is_picked else about.choices(),
        is_needed=key in calculator.required,
        error=error,
    )


def _options(about: Field, value: str, units: str) -> tuple[Option, ...]:
    """The values to pick, and before them one that was typed into the address and is none of them."""
    known = about.choices()
    named = about.how.read(value, units) if value and not about.fault("", value, units) else value
    chosen = next((one for one in known if one.casefold() == named.casefold()), "")
    odd = (Option(value, value, True),) if value and not chosen else ()
    return (*odd, *(Option(one, words(one, about.kind, units), one == chosen) for one in known))


def _query(given: Mapping[str, str], within: Setting) -> str:
    """The address that asks the same again."""
    kept = {JOB: within.job.code} if within.job else {}
    return urlencode({**given, UNITS: within.units, **kept})
