"""What each key of the answers is, in the trade's words: its label, unit, and how it is rounded when it is read off.

A key is described once, under its name; where it means something else in one calculator, under `calculator.key`.
The exact figure stays in the answer; words round a least value up, a greatest down, and say the unit.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Decimal
from typing import Any

from rules.filler_quantity import KG_PER_LB
from rules.leak_test import read_pressure
from rules.measurable import show_limit
from rules.units import GREATEST, LEAST, MM_PER_INCH, US, length_figure, plain, show_feet, show_length

_THOUSANDTH = Decimal("0.001")  # a whole °F is kept in °C to 0.0001
GOOD, BAD = "good", "bad"
_ROUNDING = {LEAST: ROUND_CEILING, GREATEST: ROUND_FLOOR, "": ROUND_HALF_EVEN}


@dataclass(frozen=True, slots=True)
class Result:
    """One value of an answer.

    label  the trade's word for it
    unit   the unit it is kept in: mm, °C, kJ/mm, h; "cut" a length to cut; "pressure" that of the design pressure;
           "yes" a yes or no; empty: a count, a text or a list
    bound  least or greatest, for a limit; empty where it is neither
    gauge  whether it is measured to 1/32 in or 0.5 mm, and so rounded to that
    none   what it says where there is no value
    yes    how a yes reads, and `no` how a no
    """

    label: str
    unit: str = ""
    bound: str = ""
    gauge: bool = False
    none: str = "none"
    yes: str = "yes"
    no: str = "no"


@dataclass(frozen=True, slots=True)
class Line:
    """A value of an answer as a person reads it.

    words  with its unit; of a list or a table its rows joined
    rows   of a list or a table, each a name (empty in a list) and its words
    exact  the figure as the answer has it, with its unit; empty where the words say it all
    tone   good or bad for a verdict, else empty
    """

    key: str
    label: str
    words: str
    rows: tuple[tuple[str, str], ...] = ()
    exact: str = ""
    tone: str = ""


RESULTS: Mapping[str, Result] = {
    "od_mm": Result("Outside diameter", "mm"),
    "wall_mm": Result("Wall", "mm"),
    "length_mm": Result("Cut length", "cut"),
    "takeout1_mm": Result("Take-out at one end", "mm"),
    "takeout2_mm": Result("Take-out at the other end", "mm"),
    "insertion_mm": Result("Goes into the socket", "mm", none="no socket"),
    "tolerance_mm": Result("Centre distance out by, either way", "mm"),
    "diameter_inches": Result("Diameter-inches"),
    "joints": Result("Joints"),
    "depth_mm": Result("Depth of the socket", "mm"),
    "insertion.insertion_mm": Result("Goes in", "mm"),
    "mark_mm": Result("Witness mark from the pipe's end", "mm"),
    "mark_bottomed_mm": Result("Mark from the face, pipe bottomed", "mm"),
    "mark_backed_off_mm": Result("Mark from the face, backed off", "mm"),
    "used": Result("Whose figure is used"),
    "least_mm": Result("Least gap", "mm", LEAST, none="no least"),
    "greatest_mm": Result("Greatest gap", "mm", GREATEST, none="no greatest"),
    "gap-round.least_mm": Result("Least gap", "mm"),
    "gap-round.greatest_mm": Result("Greatest gap", "mm"),
    "crooked-cut.least_mm": Result("Least gap", "mm"),
    "crooked-cut.greatest_mm": Result("Greatest gap", "mm"),
    "code_mm": Result("The code's figure, about", "mm"),
    "gap.accepted": Result("The gap", "yes", none="not judged", yes="within the limits", no="out of limits"),
    "out_of_square_mm": Result("Out of square", "mm"),
    "square": Result("The members", "yes", yes="square", no="not square"),
    "difference_mm": Result("Differ by", "mm"),
    "pipe_growth_mm": Result("The pipe's end grows by", "mm"),
    "socket_growth_mm": Result("The socket grows by", "mm"),
    "closing_mm": Result("The gap closes by", "mm"),
    "left_mm": Result("Gap left", "mm"),
    "touches": Result("The pipe", "yes", yes="touches the bottom of the socket", no="stays clear of the bottom"),
    "passes": Result("Passes at least"),
    "apart_degrees": Result("The nearest are apart, in degrees"),
    "apart_mm": Result("Round the pipe", "mm", none="no size was given"),
    "stacked": Result("They are", "yes", none="not judged: no spacing was given", yes="stacked", no="far enough apart"),
    "deposited_kg": Result("Weld metal", "kg"),
    "filler_kg": Result("Filler to have", "kg", LEAST),
    "size": Result("Welds to examine"),
    "of": Result("Of these"),
    "surface-indications.accepted": Result("The weld", "yes", yes="accepted", no="rejected"),
    "applicable": Result("The procedure", "yes", yes="covers the joint", no="does not cover the joint"),
    "leg_mm": Result("Least leg", "mm", LEAST, gauge=True),
    "throat_mm": Result("Throat", "mm"),
    "socket-leg.throat_mm": Result("Throat at that leg", "mm", LEAST),
    "size_mm": Result("Size of the fillet", "mm", GREATEST),
    "governs": Result("What decides"),
    "letter": Result("Criterion"),
    "limit_mm": Result("Greatest allowed", "mm", GREATEST, none="the criterion sets none of this kind"),
    "accepted": Result("As measured", "yes", none="not decided here, as the note says", yes="accepted", no="rejected"),
    "min_od_mm": Result("Outside diameter from", "mm", LEAST, none="any"),
    "max_deposit_mm": Result("Deposit up to", "mm", GREATEST, none="unlimited"),
    "positions": Result("Positions"),
    "qualified": Result("For the joint", "yes", none="no joint was given", yes="qualified", no="not qualified"),
    "reasons": Result("Why not", none="nothing stands against it"),
    "expires": Result("Lapses on"),
    "alive": Result("On the day", "yes", none="no day was given", yes="alive", no="lapsed"),
    "arc_energy": Result("Arc energy", "kJ/mm"),
    "heat_input": Result("Heat input", "kJ/mm", none="not computed without a process or k"),
    "ce": Result("Carbon equivalent CE (IIW)", "%"),
    "pcm": Result("Crack parameter Pcm", "%"),
    "passed": Result("The certificate", "yes", yes="within every limit it was held to", no="outside its limits"),
    "faults": Result("Outside", none="nothing"),
    "rt": Result("By radiography"),
    "vt": Result("By eye", none="to the examiner's satisfaction"),
    "surface": Result("By penetrant or magnetic particles"),
    "state": Result("The sample"),
    "due_now": Result("Examine now", none="all that are left"),
    "extra_total": Result("Extra examinations in all"),
    "repairs": Result("To repair or replace"),
    "preheat_c": Result("Least preheat", "°C", LEAST),
    "required": Result("Heat treatment", "yes", yes="required", no="not required"),
    "preheat.required": Result("The edition", "yes", yes="requires it", no="recommends it"),
    "min_c": Result("Metal temperature from", "°C", LEAST),
    "max_c": Result("Metal temperature to", "°C", GREATEST),
    "hold_h": Result("Hold", "h", LEAST),
    "pressure": Result("Test pressure", "pressure", LEAST, none="no pressure satisfies both limits"),
    "max_pressure": Result("At most", "pressure", GREATEST, none="none set here"),
    "relief": Result("Relief set at most to", "pressure", GREATEST, none="none set here"),
    "growth_mm": Result("Grows by", "mm"),
}
# A yes that is no good news, and answers that are neither.
_NEUTRAL, _BAD_IF_YES = {"required"}, {"touches", "stacked"}
_STATES = {
    "accepted": "accepted",
    "two-more": "examine two more for each defect",
    "examine-all": "examine, repair or replace all",
}


def result_of(calculator: str, key: str) -> Result:
    """The description of an answer's key; raises KeyError for one that nobody described."""
    return RESULTS.get(f"{calculator}.{key}") or RESULTS[key]


def in_words(answer: Mapping[str, Any], units: str) -> tuple[Line, ...]:
    """The result of `compute` as lines, in its order and in the unit system asked for."""
    name, inputs = str(answer["name"]), answer["inputs"]
    return tuple(_line(name, key, value, inputs, units) for key, value in answer["result"].items())


def _line(name: str, key: str, value: Any, inputs: Mapping[str, str], units: str) -> Line:
    about = result_of(name, key)
    if value is None or value == []:
        return Line(key, about.label, about.none)
    if isinstance(value, bool):
        tone = "" if key in _NEUTRAL else GOOD if value != (key in _BAD_IF_YES) else BAD
        return Line(key, about.label, about.yes if value else about.no, tone=tone)
    if isinstance(value, Mapping):
        rows = tuple((_size_words(one, units), str(words)) for one, words in value.items())
        return Line(key, about.label, "; ".join(f"{one}: {words}" for one, words in rows), rows)
    if isinstance(value, list):
        return Line(key, about.label, "; ".join(map(str, value)), tuple(("", str(one)) for one in value))
    if isinstance(value, str):
        return Line(key, about.label, _STATES.get(value, value) if key == "state" else value)
    return Line(key, about.label, *_figure(about, Decimal(str(value)), inputs, units))


def _figure(about: Result, value: Decimal, inputs: Mapping[str, str], units: str) -> tuple[str, tuple[()], str]:
    """Words and exact figure of a number, between them the rows it has none of."""
    if about.unit == "pressure":
        unit = read_pressure(inputs["design"], units)[1]
        return f"{plain(_rounded(value, about.bound, '0.01'))} {unit}", (), f"{plain(value)} {unit}"
    if about.unit in ("mm", "cut"):
        return _length(about, value, units), (), f"{plain(value)} mm"
    if about.unit == "°C":
        return _temperature(value, about.bound, units), (), f"{plain(value)} °C"
    if about.unit == "kJ/mm":
        in_units = value * MM_PER_INCH if units == US else value
        return f"{plain(_rounded(in_units, '', '0.001'))} {'kJ/in' if units == US else 'kJ/mm'}", (), f"{value} kJ/mm"
    if about.unit == "kg" and units == US:
        return f"{plain(_rounded(value / KG_PER_LB, about.bound, '0.001'))} lb", (), f"{plain(value)} kg"
    places = "0.01" if about.unit == "h" else "0.001"
    unit = f" {about.unit}" if about.unit else ""
    return f"{plain(_rounded(value, about.bound, places))}{unit}", (), f"{plain(value)}{unit}" if unit else ""


def _length(about: Result, mm: Decimal, units: str) -> str:
    if about.unit == "cut":
        return (
            f"{show_feet(mm)} ({length_figure(mm, US)} in)"
            if units == US
            else show_length(_rounded(mm, "", "0.1"), units)
        )
    if about.gauge:
        return show_limit(mm, about.bound, units)
    shown = show_length(mm, units)
    if not about.bound or "/" in shown:
        return shown
    if units == US:
        return f"{plain(_rounded(mm / MM_PER_INCH, about.bound, '0.001'))} in"
    return f"{plain(_rounded(mm, about.bound, '0.01'))} mm"


def _temperature(celsius: Decimal, bound: str, units: str) -> str:
    if units == US:
        return f"{plain(_rounded((celsius * 9 / 5 + 32).quantize(_THOUSANDTH), bound, '1'))} °F"
    return f"{plain(_rounded(celsius, bound, '1'))} °C"


def _rounded(value: Decimal, bound: str, places: str) -> Decimal:
    return value.quantize(Decimal(places), _ROUNDING[bound])


def _size_words(name: str, units: str) -> str:
    """A row of positions with its pipe sizes in the unit system asked for."""
    if units != US:
        return name
    return name.replace("73 to 610 mm", "2-7/8 to 24 in").replace("610 mm", "24 in").replace("73 mm", "2-7/8 in")
