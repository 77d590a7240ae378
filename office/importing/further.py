"""Guess what the rows of a sheet are besides: a weld register says who welded and what was examined, too.

What one shop calls a heading is common practice, no source; a guess is shown and only holds once somebody confirms it.
"""

import re
from collections.abc import Container, Mapping, Sequence
from dataclasses import dataclass

from office.importing.columns import Column, SheetForm, header
from office.importing.forms import BY_NAME
from office.importing.guessing import Guess, columns_of
from office.importing.own_names import OwnPart

# "Dye penetrant" and "magnetic particle" are two words, "X-ray" as well.
_LONGEST_WORD = 2
# A sheet may hold a handful of examinations a row.
MOST_FURTHER = 12
_METHODS = {
    "VT": "vt visual visualtest visualinspection",
    "RT": "rt radiography radiographic xray rtx",
    "PT": "pt dpt lpt dpi penetrant dyepenetrant",
    "MT": "mt mpi magneticparticle",
    "UT": "ut ultrasonic",
}
_FIT_UP, _JOINT = "fitup", "joint"
# Of these a register's rows may be more than one.
_LISTS, _FIT_UPS, _WELD_LOG, _EXAMINATIONS = "Joints", "Fit-ups", "Weld log", "Examinations"
_TESTS, _WELDERS, _SHEETS = "Qualifications", "Welders", "Sheets"
# What registers seldom say: who examined. It is asked for, so that no result is left out unseen.
_SELDOM = {_EXAMINATIONS: frozenset({"by"})}


@dataclass(frozen=True, slots=True)
class Choice:
    """One column of what rows are besides: the heading that it is read from, or what every row says.

    number   its turn among the columns of its sheet, from 0
    """

    number: int
    column: Column
    place: int | None
    fixed: str

    @property
    def is_plain(self) -> bool:
        """Say whether it is of account at first sight: needed, read or said."""
        return self.column.needed or self.place is not None or bool(self.fixed)


def further_of(found: Guess) -> tuple[OwnPart, ...]:
    """Guess what a sheet's rows are besides what the sheet is taken for.

    What lacks a needed column is not proposed, but for a column that registers seldom have. A heading of one method
    is of no other kind, whether or not its examination is proposed.
    """
    if found.form not in (_LISTS, _WELD_LOG, _TESTS):
        return ()
    heads, groups = _written(found), [""] * _width(found)
    for one in found.headings:
        groups[one.place] = one.group
    names = {one.place: one.key for one in found.headings}
    first = {one.place: one.column for one in found.headings if one.column}
    left = set(names) - set(first)
    proposed = []
    for form, words, fixed in _candidates(found.form):
        inside = [_within(head, group, words) if words else head for head, group in zip(heads, groups, strict=True)]
        besides, places = _proposed(BY_NAME[header(form)], inside, first, left, names, fixed)
        if besides is not None:
            proposed.append(besides)
        left -= {place for place, said in enumerate(inside) if said} if words else places
    return tuple(proposed)


def _candidates(form: str) -> list[tuple[str, tuple[str, ...], Mapping[str, str]]]:
    """The kinds of sheet to look for, with the words that their headings begin, end or are grouped by."""
    if form == _TESTS:
        return [(_WELDERS, (), {})]
    found: list[tuple[str, tuple[str, ...], Mapping[str, str]]] = [
        (_EXAMINATIONS, tuple(words.split()), {"method": method}) for method, words in _METHODS.items()
    ]
    found.append((_FIT_UPS, (_FIT_UP,), {}))
    found += [(one, (), {}) for one in (_LISTS, _WELD_LOG, _SHEETS) if one != form]
    return found


def _within(head: str, group: str, words: tuple[str, ...]) -> str:
    """What a heading says beside the word of its kind, "date" of "VT date"; nothing where it is of another kind."""
    if _beside(group, words) is not None:
        return head
    beside = _beside(head, words)
    return "" if beside is None else beside or "result"


def _beside(written: str, words: tuple[str, ...]) -> str | None:
    """What stands beside one of the words at the beginning or end of what is written; None where none does."""
    parts = re.findall(r"[^\W_]+", written)
    for count in range(1, min(_LONGEST_WORD, len(parts)) + 1):
        if header("".join(parts[:count])) in words:
            return " ".join(parts[count:])
        if header("".join(parts[-count:])) in words:
            return " ".join(parts[:-count])
    return None


def _proposed(
    form: SheetForm,
    heads: Sequence[str],
    first: Mapping[int, str],
    left: set[int],
    names: Mapping[int, str],
    fixed: Mapping[str, str],
) -> tuple[OwnPart | None, set[int]]:
    """The kind of sheet as far as its columns are there: of its own, and shared with what the sheet is first.

    first   the columns that headings are taken for already, by place; `left` are those that are free
    """
    columns = columns_of(form, [head if place in left else "" for place, head in enumerate(heads)], {})
    own = {place: name for place, name in columns.items() if name not in fixed and name not in form.identity}
    shared = {place: name for place, name in first.items() if name in form.by_name and name not in own.values()}
    known = {*own.values(), *shared.values(), *fixed}
    lacks = {one.name for one in form.columns if one.needed} - known
    if not own or lacks - _SELDOM.get(form.name, frozenset()):
        return None, set()
    return OwnPart(form.name, {name: names[at] for at, name in {**own, **shared}.items()}, fixed), set(own)


def begun(form: SheetForm, found: Guess, before: Sequence[OwnPart]) -> OwnPart:
    """Return one more kind of sheet that somebody said the rows are, with its columns as far as they can be guessed.

    before   what they are besides already: two lists of heats, or the examinations by two methods, read different
             headings
    """
    is_of_joint = _JOINT in form.identity
    taken = {
        key for one in before if one.form == form.name for name, key in one.read.items()
        if is_of_joint != (name in form.identity)
    }  # fmt: skip
    heads = _written(found, taken)
    names = {one.place: one.key for one in found.headings}
    return OwnPart(form.name, {name: names[place] for place, name in columns_of(form, heads, {}).items()})


def _width(found: Guess) -> int:
    return max((one.place for one in found.headings), default=-1) + 1


def _written(found: Guess, taken: Container[str] = ()) -> list[str]:
    """The headings at their places, blank where there is none or it is taken."""
    heads = [""] * _width(found)
    for one in found.headings:
        heads[one.place] = "" if one.key in taken else one.written
    return heads


def choices(one: OwnPart, found: Guess) -> tuple[Choice, ...]:
    """Return each column of what rows are besides, with the heading that it is read from."""
    places = {heading.key: heading.place for heading in found.headings}
    form = BY_NAME[header(one.form)]
    return tuple(
        Choice(number, each, places.get(one.read.get(each.name, "")), one.fixed.get(each.name, ""))
        for number, each in enumerate(form.columns)
    )


def lacking(one: OwnPart, found: Guess) -> tuple[str, ...]:
    """Return the columns that are needed of what rows are besides, and are neither read nor said."""
    said = choices(one, found)
    return tuple(each.column.name for each in said if each.column.needed and each.place is None and not each.fixed)
