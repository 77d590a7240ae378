"""What each kind of column makes of a cell: exact values in SI, words of a list, days, lists."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any, NamedTuple
from zoneinfo import ZoneInfo, available_timezones

from office.importing import words
from office.importing.accepts import accepting, accepts_of
from office.importing.cells import CellError, as_text, shown
from office.importing.faults import nearest
from records.recording import ATTEMPT_FORM, is_attempt
from rules import units
from rules.pipe import UnknownSize, parse_nps, parse_schedule
from rules.route.envelope import parse_envelope
from rules.units import UnitError

SPREADSHEET_EPOCH = date(1899, 12, 30)
_SERIALS = range(20_000, 80_000)  # 1954 to 2119: a number in this range in a date column is a spreadsheet's day
_DATE_FORMS = "accepted are dates such as 2026-09-01 or 2026-09-01 07:30"
_ORDER_SAID = "accepted are dates such as 2026-09-01, or a heading that says the order, such as date (dd.mm.yyyy)"
_TWO_WAYS = re.compile(r"(?:0?[1-9]|1[0-2])[./-](?:0?[1-9]|1[0-2])[./-](?:\d{2}|\d{4})(?:[ T].*)?")
_TEST_POSITION = re.compile(r"[1-6](?:G|F|FR|GR)|SP")


@dataclass(frozen=True, slots=True)
class Setting:
    """What cells are read by: the job's unit system and time zone, and today's date on its site."""

    units: str
    zone: ZoneInfo
    today: date


class Moment(NamedTuple):
    """A day on the site, and the instant where a time was given."""

    day: date
    at: datetime | None


Parse = Callable[[Any, Setting], Any]


def text(cell: Any, setting: Setting) -> str:
    """A text on one line."""
    return " ".join(as_text(cell).split()) if type(cell) is str and ("\n" in cell or "\t" in cell) else as_text(cell)


def long_text(cell: Any, setting: Setting) -> str:
    """A text that may have lines."""
    return as_text(cell)


def one_of(accepted: words.Words, what: str) -> Parse:
    """A word of a list, or its short form."""

    known = tuple(dict.fromkeys(accepted.values()))

    def parse(cell: Any, setting: Setting) -> str:
        said = as_text(cell)
        found = accepted.get(words.plain(said))
        if found is None:
            raise CellError(f"{shown(said)} is no {what}; {nearest(said, known)}")
        return found

    return accepting(parse, ", ".join(known), known[0], choices=known)


def yes_no(cell: Any, setting: Setting) -> bool:
    """Yes or no, as a truth."""
    return _yes_no(cell, setting) == words.YES


_yes_no = one_of(words.YES_NO, "yes or no")
accepting(yes_no, "yes, no", "no", choices=("yes", "no"))
yes_no_word = _yes_no


def all_or_list(item: Parse, separators: str = ",;") -> Parse:
    """Several values separated by commas; `all` means no restriction and is the empty list.

    A value that holds a comma itself, or is the word all, stands in double quotes.
    """
    part = re.compile(rf'(?:^|[{separators}])(?:\s*"((?:[^"]|"")+)"\s*(?=[{separators}]|$)|([^{separators}]*))')

    def parse(cell: Any, setting: Setting) -> list[Any]:
        said = as_text(cell)
        if said.casefold() == "all":
            return []
        found = (quoted.replace('""', '"') or bare.strip() for quoted, bare in part.findall(said))
        return list(dict.fromkeys(item(one, setting) for one in found if one))

    one = accepts_of(item)
    return accepting(parse, f"one or more of {one.words or 'your own words'}, with commas between; or all", one.example)


def grouping(letter: str) -> Parse:
    """A P-Number or F-Number: `1`, `P1`, `P-1`, `P-No. 5A`."""
    form = re.compile(rf"(?:{letter}\s*-?\s*(?:No\.?|Number)?\s*)?(\d{{1,2}}[A-Z]?)", re.IGNORECASE)

    def parse(cell: Any, setting: Setting) -> str:
        said = as_text(cell)
        found = form.fullmatch(said)
        if not found:
            raise CellError(f"{shown(said)} is no {letter}-Number; accepted are figures such as 1, 5A or 8")
        return found[1].upper()

    return accepting(parse, f"a {letter}-Number such as 1, 5A or 8", "1")


def position(cell: Any, setting: Setting) -> str:
    """flat, horizontal, vertical, overhead, or a test position."""
    said = as_text(cell)
    if _TEST_POSITION.fullmatch(said.upper()):
        return said.upper()
    return str(_positions(said, setting))


accepting(position, "flat, horizontal, vertical, overhead, or a test position such as 2G, 5F or SP", "6G")
_positions = one_of(words.POSITIONS, "position, nor a test position such as 2G, 5F or SP")


def attempt(cell: Any, setting: Setting) -> str:
    """An attempt's label."""
    said = as_text(cell).upper()
    if not is_attempt(said):
        raise CellError(f"{shown(said)} is no attempt; accepted are {ATTEMPT_FORM}")
    return said


def whole_number(least: int, greatest: int) -> Parse:
    """A whole number in a range."""

    def parse(cell: Any, setting: Setting) -> int:
        said = as_text(cell)
        if not re.fullmatch(r"\d{1,9}", said) or not least <= int(said) <= greatest:
            raise CellError(f"{shown(said)} is no whole number from {least} to {greatest}")
        return int(said)

    return accepting(parse, f"a whole number from {least} to {greatest}", str(max(least, 2)))


class Nothing:
    """What a cell says that takes a value away, as a blank cell, which leaves what is stored, does not."""


NONE, NOTHING = "none", Nothing()


def number_or_none(least: int, greatest: int) -> Parse:
    """A whole number in a range, or the word that there is no limit."""
    number = whole_number(least, greatest)

    def parse(cell: Any, setting: Setting) -> Any:
        return NOTHING if as_text(cell).casefold() == NONE else number(cell, setting)

    return accepting(parse, f"a whole number from {least} to {greatest}, or none", "2")


def in_units(parse_text: Callable[[str, str], Decimal]) -> Parse:
    """A quantity whose bare numbers are in the job's units."""
    return lambda cell, setting: _quantity(lambda said: parse_text(said, setting.units), cell)


def quantity(parse_text: Callable[[str], Decimal]) -> Parse:
    """A quantity whose bare numbers have one meaning on every job."""
    return lambda cell, setting: _quantity(parse_text, cell)


def _quantity(parse_text: Callable[[str], Decimal], cell: Any) -> Decimal:
    try:
        return parse_text(as_text(cell))
    except UnitError as error:
        raise CellError(str(error).rstrip(".")) from error


length = accepting(
    in_units(units.parse_length), "1/8, 1-1/2 in, 3.2 mm", "1/8 in", bare=("inch", "mm"), is_quantity=True
)
temperature = accepting(in_units(units.parse_temperature), "200 F, 93 C", "200 F", bare=("°F", "°C"), is_quantity=True)
pressure = accepting(
    in_units(units.parse_pressure), "150 psi, 10 bar, 1000 kPa", "150 psi", bare=("psi", "kPa"), is_quantity=True
)
# MPa, of any metal of a pipe: annealed aluminium 1060 yields at 17 (2.5 ksi, ASTM B241, from memory).
_LEAST_STRENGTH, _MOST_STRENGTH = 10, 3000
_any_strength = in_units(units.parse_stress)


def _strength(cell: Any, setting: Setting) -> Decimal:
    """A strength in MPa; 70 or 470 on a US job would be psi, which no metal has."""
    mpa = _any_strength(cell, setting)
    if _LEAST_STRENGTH <= mpa <= _MOST_STRENGTH:
        return Decimal(mpa)
    said = as_text(cell)
    unit = "" if re.search(r"[A-Za-z]", said) else f" {'psi' if setting.units == units.US else 'MPa'}"
    raise CellError(f"no metal has a strength of {said}{unit}; accepted are 70 ksi, 70000 psi and 485 MPa")


stress: Parse = accepting(_strength, "70 ksi, 70000 psi, 485 MPa", "70 ksi", bare=("psi", "MPa"), is_quantity=True)
travel = accepting(
    in_units(units.parse_travel), "4 in/min, 100 mm/min", "4 in/min", bare=("inch/min", "mm/min"), is_quantity=True
)
heat_input = accepting(
    in_units(units.parse_heat_input), "30 kJ/in, 1.2 kJ/mm", "30 kJ/in", bare=("kJ/in", "kJ/mm"), is_quantity=True
)
current = accepting(quantity(units.parse_current), "140, 140 A", "140", is_quantity=True)
voltage = accepting(quantity(units.parse_voltage), "12, 12 V", "12", is_quantity=True)
duration = accepting(quantity(units.parse_duration), "90 s, 1.5 min, 1:30", "90 s", is_quantity=True)
degrees = accepting(quantity(units.parse_degrees), "30, 30 deg", "30", is_quantity=True)
clock = accepting(quantity(units.parse_clock), "hours on a clock face, 12 at the top, seen with the flow", "4:30")


def figure(*suffixes: str, greatest: int) -> Parse:
    """A number from 0 to a greatest, which may carry one of the suffixes."""
    suffix = re.compile(rf"\s*(?:{'|'.join(map(re.escape, suffixes))})$", re.IGNORECASE) if suffixes else None

    def read(text: str) -> Decimal:
        return units.parse_number(suffix.sub("", units.held(text)) if suffix else text)

    def parse(cell: Any, setting: Setting) -> Decimal:
        said = as_text(cell)
        number = _quantity(read, said)
        if not 0 <= number <= greatest:
            raise CellError(f"{shown(said)} can't be; accepted are figures from 0 to {greatest}")
        return number

    return accepting(parse, f"a number from 0 to {greatest}", "0.2" if greatest <= 100 else "180")


percent = figure("%", greatest=100)


def share(cell: Any, setting: Setting) -> Decimal:
    """A share in percent; a bare number up to 1 may be either 1 % or 100 %, so it is refused, a .csv's text too."""
    value = Decimal(percent(cell, setting))
    if 0 < value <= 1 and not as_text(cell).endswith("%"):
        told = f"{as_text(cell)} can be read as a share or as percent; accepted are texts such as 10 % or 100 %"
        raise CellError(told)
    return value


def time_zone(cell: Any, setting: Setting) -> str:
    """A time zone by its name."""
    said = as_text(cell)
    if said not in available_timezones():
        raise CellError(f"{shown(said)} is no time zone; {nearest(said, sorted(available_timezones()))}")
    return said


def transport_envelope(cell: Any, setting: Setting) -> str:
    """The three sides of a transport envelope, kept as typed."""
    typed = text(cell, setting)
    try:
        parse_envelope(typed, setting.units)
    except UnitError as error:
        raise CellError(str(error).rstrip(".")) from error
    return typed


def nps(cell: Any, setting: Setting) -> str:
    """A nominal pipe size as the tables write it."""
    try:
        return parse_nps(as_text(cell), setting.units)
    except UnknownSize as error:
        raise CellError(_first_down(str(error))) from error


def schedule(cell: Any, setting: Setting) -> str:
    """A pipe schedule as the table writes it; whether the size has it, is seen with the size."""
    return parse_schedule(as_text(cell))


def day(cell: Any, setting: Setting) -> date:
    """A day: ISO 8601, or a spreadsheet's date."""
    return moment(cell, setting).day


def past_day(cell: Any, setting: Setting) -> date:
    """A day that is not in the future."""
    found = day(cell, setting)
    if found > setting.today:
        raise CellError(f"the date {found} is in the future; accepted is a day up to {setting.today}")
    return found


def moment(cell: Any, setting: Setting) -> Moment:
    """A day, with the time where one was given; times without a zone are the site's."""
    if isinstance(cell, datetime):
        return _placed(cell, setting)
    if isinstance(cell, date):
        return Moment(cell, None)
    if type(cell) in (float, int) and int(cell) in _SERIALS:
        midnight = datetime.combine(SPREADSHEET_EPOCH, datetime.min.time())
        return _placed(midnight + timedelta(seconds=round(cell * 86400)), setting)
    said = as_text(cell)
    try:
        if len(said) == 10:
            return Moment(date.fromisoformat(said), None)
        return _placed(datetime.fromisoformat(said), setting)
    except ValueError as error:
        wrong = f"is no date; {_DATE_FORMS}"
        if _TWO_WAYS.fullmatch(said):
            wrong = f"can be read as two days, the month first or the day first; {_ORDER_SAID}"
        raise CellError(f"{shown(said)} {wrong}") from error


def is_day(parse: Parse) -> bool:
    """Say whether a column holds days, with or without a time."""
    return parse in (day, past_day, moment)


def _placed(found: datetime, setting: Setting) -> Moment:
    """Midnight is a spreadsheet's way of giving no time."""
    if found.tzinfo is not None:
        return Moment(found.astimezone(setting.zone).date(), found.astimezone(UTC))
    if (found.hour, found.minute, found.second) == (0, 0, 0):
        return Moment(found.date(), None)
    return Moment(found.date(), found.replace(tzinfo=setting.zone).astimezone(UTC))


def _first_down(sentence: str) -> str:
    """A sentence as the part after a colon: without capital and full stop."""
    keep = sentence[:3].isupper()
    return (sentence if keep else sentence[:1].lower() + sentence[1:]).rstrip(".")


for _parse, _words, _example in (
    (attempt, ATTEMPT_FORM, "R1"),
    (share, "a share such as 10 % or 100 %", "10 %"),
    (time_zone, "a time zone by its name", "America/Chicago"),
    (nps, "a nominal pipe size such as 1/2, 1-1/2, 4 or DN 50; a bare number is an NPS", "1-1/2"),
    (schedule, "a schedule such as 40, 80, STD or XXS", "80"),
    (day, "a date such as 2026-09-01", "2026-09-01"),
    (past_day, "a date such as 2026-09-01, not in the future", "2026-09-01"),
    (moment, "a date, with its time if known: 2026-09-01 or 2026-09-01 07:30", "2026-09-01 07:30"),
):
    accepting(_parse, _words, _example)
