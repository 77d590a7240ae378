"""Write docs/calculators.md from the calculators' descriptions: python -m docs.make_calculators."""

import shlex
from collections.abc import Iterator
from pathlib import Path

from rules.calculators.described import DESCRIBED, GROUPS
from rules.calculators.field import Field
from rules.calculators.fields import FIELDS
from rules.calculators.kinds import KINDS
from rules.calculators.results import RESULTS, Result
from rules.compute import CALCULATORS

PAGE = Path(__file__).with_name("calculators.md")
MOST = 12  # so many accepted values are listed; of more the first few and the last
KEPT = {"cut": "mm", "pressure": "the unit of the design pressure", "yes": "true, false", "": "–"}
OPENING = """# Calculators

The trade's arithmetic with its steps and its source. Each calculator has a page under *Calculators* in the menu of a
job and on *Your jobs*; this page lists them all. It is written by `python -m docs.make_calculators` from their
descriptions.

**On the page** the answer comes while you type, with a drawing to scale where one helps, the steps, the source with
its edition and state, and who confirmed its tables on the job. The address carries what you typed: send it, and the
other sees the same answer. *Print on one page* gives a PDF. Without script the button *Work it out* does the same.

**Units.** A bare figure is read in the unit beside its label: inch, °F and psi, or mm, °C and kPa. On a job these are
the job's. Any other unit is taken where it is written: `1/8 in`, `3-3/8"`, `2' 3-1/2"`, `40 mm`, `93 C`, `10 bar`.
Strengths without a unit are MPa. A least value is shown rounded up and a greatest rounded down; beside them stand
the figures as the data has them.

**What is not given** is not judged; the steps and notes say what was taken for granted. A wrong value is refused in a
sentence that names it and lists what is accepted, the nearest first.

**Other keys** in bold stand in front on the page, the others behind *more*. The tables are those of
[rules.md](rules.md).

**For programs.** `GET /api/compute/NAME/?key=value` answers `{name, inputs, result, steps, source: {code, edition,
clause, state}, notes}`: lengths in mm, temperatures in °C, heat input in kJ/mm, dates as 2026-03-31. `units=US` or
`units=SI` says what bare figures are, `job=CODE` takes them and the edition from a job of yours. What can't be
computed answers 422 as `application/problem+json` with `errors: [{field, message, accepted}]`. The command `python
manage.py compute NAME key=value ...` answers the same.
"""


def document() -> str:
    """The page as it should stand."""
    parts = [OPENING]
    for group in GROUPS:
        parts += [f"## {group}\n", "| calculator | needed | other keys | tables |", "|---|---|---|---|"]
        names = [name for name, about in DESCRIBED.items() if about.group == group]
        parts += [_row(name) for name in names]
        parts += ["", *(f"    {_command(name)}" for name in names), ""]
    kinds = ["", "## Kinds of value\n", "| kind | a bare figure is in | accepted |", "|---|---|---|"]
    kinds += [_kind(name) for name, how in KINDS.items() if how.forms]
    keys = [
        "## Keys\n",
        "| key | is | as | accepted |",
        "|---|---|---|---|",
        *(_key(key, FIELDS[key]) for key in _keys()),
    ]
    answers = ["", "## Answers\n", "| key | is | kept in | where there is none |", "|---|---|---|---|"]
    answers += [_answer(key, RESULTS[key]) for key in sorted(RESULTS, key=_plain_first)]
    return "\n".join([*parts, *keys, *kinds, *answers, ""])


def _row(name: str) -> str:
    one = CALCULATORS[name]
    front = DESCRIBED[name].front
    others = [f"**`{key}`**" for key in front] + [f"`{key}`" for key in one.optional if key not in front]
    tables = ", ".join(DESCRIBED[name].tables) or "–"
    return f"| `{name}` {one.title} | {_listed(one.required)} | {', '.join(others) or '–'} | {tables} |"


def _listed(keys: tuple[str, ...]) -> str:
    return ", ".join(f"`{key}`" for key in keys)


def _command(name: str) -> str:
    words = (shlex.quote(f"{key}={value}") for key, value in DESCRIBED[name].example.items())
    return f"python manage.py compute {name} {' '.join(words)}"


def _keys() -> Iterator[str]:
    """Every key of the descriptions, those that mean something else in one calculator behind the plain ones."""
    yield from sorted(FIELDS, key=_plain_first)


def _plain_first(key: str) -> tuple[str, bool, str]:
    return key.rpartition(".")[2].casefold(), "." in key, key


def _key(key: str, field: Field) -> str:
    calculator, _, plain = key.rpartition(".")
    of = f" of `{calculator}`" if calculator else ""
    hint = f"; {_inside(field.hint)}" if field.hint else ""
    example = f"{field.us}" if not field.si else f"{field.us} (US), {field.si} (SI)"
    return f"| `{plain}`{of} | {field.label}{hint} | {example} | {_accepted(field)} |"


def _answer(key: str, one: Result) -> str:
    """A value of an answer: its label, or both readings of a yes or no, with what it is kept in."""
    calculator, _, plain = key.rpartition(".")
    of = f" of `{calculator}`" if calculator else ""
    label = f"{one.label}: {one.yes}, or {one.no}" if one.unit == "yes" else one.label
    kept = KEPT.get(one.unit, one.unit)
    return f"| `{plain}`{of} | {label}{f' ({one.bound})' if one.bound else ''} | {kept} | {one.none} |"


def _inside(sentence: str) -> str:
    """A sentence as it goes on after another: a short form such as GMAW-S keeps its capitals."""
    return sentence if sentence[1:2].isupper() else sentence[0].lower() + sentence[1:]


def _kind(name: str) -> str:
    how = KINDS[name]
    bare = "" if not how.us else how.us if how.us == how.si else f"{how.us} (US), {how.si} (SI)"
    return f"| {name} | {bare or '–'} | {', '.join(how.forms)} |"


def _accepted(field: Field) -> str:
    choices = field.choices()
    if not choices:
        return f"a {field.kind}" if field.how.forms else "any text"
    few = choices if len(choices) <= MOST else (*choices[:5], "...", choices[-1])
    told = ", ".join(few)
    return told if field.how.is_closed or field.how.is_picked else f"any text, such as {told}"


if __name__ == "__main__":
    PAGE.write_text(document(), encoding="utf-8")
