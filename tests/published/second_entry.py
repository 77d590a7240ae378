"""Every figure of every table entered a second time: what each cell must hold, read from `second/` and by worked rules.

Where the second entry is laid out like the standard (a matrix of letters, an analysis in one row), it is read from
there; where the inch figure follows from another one by a rule of the standard, the rule is worked out here.
"""

import csv
import tomllib
from collections.abc import Callable, Iterator, Mapping, Sequence
from decimal import ROUND_HALF_EVEN, Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path

from rules.tables import table, table_names

Cells = dict[tuple[int, str], str]
Row = Mapping[str, str]
FOLDER = Path(__file__).with_name("second")
# What is no figure: how sure a row is, a remark beside it, and whose standard a row is of.
BESIDE = frozenset({"state", "state_us", "note", "standard"})


def read(name: str) -> list[dict[str, str]]:
    """The rows of a second entry, its comment left out."""
    lines = (FOLDER / name).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if line and not line.startswith("#")))


@cache
def by_column() -> dict[str, dict[str, str]]:
    """The second entries of the small tables, column by column."""
    return tomllib.loads((FOLDER / "by_column.toml").read_text(encoding="utf-8"))


def _of_columns(name: str) -> Cells:
    cells: Cells = {}
    for column, written in by_column()[name].items():
        if column != "source":
            values = [one.strip() for one in written.split("|")] if "|" in written else written.split()
            cells |= {(place, column): "" if value == "-" else value for place, value in enumerate(values)}
    return cells


def _placed(name: str, keys: Sequence[str], found: Iterator[tuple[tuple[str, ...], str, str]]) -> Cells:
    """Cells by the place of their row in the table, the key's own columns with them."""
    places = {tuple(row[key] for key in keys): place for place, row in enumerate(table(name).rows)}
    cells: Cells = {}
    for key, column, value in found:
        assert key in places, f"{name} has no row {key}"
        cells[places[key], column] = value
        cells |= {(places[key], one): part for one, part in zip(keys, key, strict=True)}
    return cells


def _pipe() -> Cells:
    def found() -> Iterator[tuple[tuple[str, ...], str, str]]:
        for row in read("pipe_b36_10.csv"):
            for column in ("dn", "od_in", "od_mm", "wall_in", "wall_mm"):
                yield (row["nps"], row["schedule"]), column, row[column]

    return _placed("pipe", ("nps", "schedule"), found())


def hundredths(text: str) -> str:
    """A fraction of an inch to a hundredth, half to even, as newer editions print the fractions of older ones."""
    whole, _, part = text.rpartition("-")
    value = Fraction(part) + Fraction(whole or 0)
    exact = Decimal(value.numerator) / Decimal(value.denominator)
    return str(exact.quantize(Decimal("0.01"), ROUND_HALF_EVEN))


_SOCKET = {
    "bore_min_mm": "socket_bore_min_mm",
    "bore_max_mm": "socket_bore_max_mm",
    "depth_min_mm": "socket_depth_min_J_mm",
    "centre_90_mm": "A_90elbow_tee_cross_centre_to_socket_bottom_mm",
    "centre_45_mm": "A_45elbow_centre_to_socket_bottom_mm",
    "coupling_mm": "E_full_coupling_laying_length_mm",
    "half_coupling_mm": "F_half_coupling_laying_length_mm",
    "tolerance_centre_mm": "tol_A_mm_pm",
    "tolerance_coupling_mm": "tol_E_mm_pm",
    "tolerance_half_coupling_mm": "tol_F_mm_pm",
    "tolerance_centre_in": "tol_A_in_pm",
    "tolerance_coupling_in": "tol_E_in_pm",
    "tolerance_half_coupling_in": "tol_F_in_pm",
    "wall_average_mm": "socket_wall_C_avg_mm",
    "wall_min_mm": "socket_wall_C_min_mm",
    "body_wall_min_mm": "body_wall_G_min_mm",
}


def _socket_fittings() -> Cells:
    return _placed("socket_fittings", ("nps", "class"), _of_sockets())


def _of_sockets() -> Iterator[tuple[tuple[str, ...], str, str]]:
    ours = {row["nps"]: row for row in read("socket_fittings_us.csv")}
    outside = {row["nps"]: Decimal(row["od_in"]) for row in read("pipe_b36_10.csv")}
    for row in read("socket_fittings_b16_11.csv"):
        key, us, rating = (row["nps"], row["class"]), ours[row["nps"]], row["class"]
        yield (
            key,
            "paired_schedule",
            row["paired_pipe_schedule"].split()[-1].strip("()").replace("XS", "80")[-3:]
            if (rating == "3000")
            else row["paired_pipe_schedule"].removeprefix("Sch ").split()[0],
        )
        for column, theirs in _SOCKET.items():
            yield key, column, row[theirs]
        for column in ("depth", "coupling", "half_coupling"):
            yield key, f"{'depth_min' if column == 'depth' else column}_in", hundredths(us[column])
        yield key, "centre_90_in", hundredths(us[f"centre_{rating}"])
        yield key, "centre_45_in", hundredths(us[f"45_{rating}"])
        # A socket's bore is the pipe's outside diameter and a clearance, in newer editions to a thousandth.
        most = outside[row["nps"]] + Decimal(us["bore_over_od"])
        yield key, "bore_max_in", str(most)
        yield key, "bore_min_in", str(most - Decimal(us["bore_range"]))
        # The walls in inches are those in millimetres to a thousandth of an inch.
        for column in ("wall_average", "wall_min", "body_wall_min"):
            exact = Decimal(row[_SOCKET[f"{column}_mm"]]) / Decimal("25.4")
            yield key, f"{column}_in", str(exact.quantize(Decimal("0.001")))


_BUTT = {
    "elbow_90_mm": "LR90_A_mm",
    "elbow_45_mm": "LR45_B_mm",
    "elbow_90_short_mm": "SR90_A_mm",
    "tee_run_mm": "straight_tee_run_C_mm",
    "tee_outlet_mm": "straight_tee_outlet_M_mm",
    "reducer_mm": "reducer_length_H_mm_by_large_end",
    "cap_mm": "cap_length_E_mm",
    "tolerance_centre_mm": "tol_centre_to_end_mm_pm",
}


def _buttweld_fittings() -> Cells:
    def found() -> Iterator[tuple[tuple[str, ...], str, str]]:
        for row in read("buttweld_fittings_b16_9.csv"):
            yield from (((row["nps"],), column, row[theirs]) for column, theirs in _BUTT.items())
        for row in read("buttweld_fittings_us.csv"):
            for column in ("elbow_90", "elbow_45", "elbow_90_short", "reducer", "cap"):
                yield (row["nps"],), f"{column}_in", hundredths(row[column]) if row[column] else ""
            for column in ("tee_run", "tee_outlet"):
                yield (row["nps"],), f"{column}_in", hundredths(row["tee"])
            yield (row["nps"],), "tolerance_centre_in", "0.06"

    return _placed("buttweld_fittings", ("nps",), found())


def _flanges() -> Cells:
    def found() -> Iterator[tuple[tuple[str, ...], str, str]]:
        inches = {(row["nps"], row["class"]): row for row in read("flanges_us.csv")}
        for row in read("flanges_b16_5.csv"):
            us = inches[row["nps"], row["class"]]
            for edition, which, face in (("2003", "excl_RF", "2"), ("1996", "incl_1_6_RF_old_edition", "0")):
                key = (edition, row["nps"], row["class"])
                yield key, "weld_neck_hub_mm", row[f"WN_length_thru_hub_Y_{which}_mm"]
                yield key, "slip_on_hub_mm", row[f"SO_SW_length_thru_hub_Y_{which}_mm"]
                yield key, "socket_depth_mm", row["SW_socket_depth_D_mm"]
                yield key, "bore_min_mm", row["SW_SO_bore_B_min_mm"]
                yield key, "raised_face_mm", face
                yield key, "raised_face_in", "0.06" if face == "2" else "0"
                for column in ("weld_neck", "slip_on"):
                    inch = us[f"{column}_{edition}"]
                    yield key, f"{column}_hub_in", inch if edition == "2003" else hundredths(inch)
                yield key, "socket_depth_in", hundredths(us["depth"]) if us["depth"] else ""
                yield key, "bore_min_in", us["bore"]

    return _placed("flanges", ("edition", "nps", "class"), found())


def _acceptance() -> Cells:
    def found() -> Iterator[tuple[tuple[str, ...], str, str]]:
        for row in read("acceptance_matrix.csv"):
            for place in (column for column in row if " " in column):
                # N and S judge a branch as the girth weld that it is.
                service, weld = place.split()
                value = row[place].replace("N/A", "")
                yield (service, weld), row["imperfection"], value
                if weld == "girth" and service in "NS":
                    yield (service, "branch"), row["imperfection"], value

    return _placed("acceptance_b31_3", ("service", "weld"), found())


def _methods() -> Cells:
    def found() -> Iterator[tuple[tuple[str, ...], str, str]]:
        for row in read("acceptance_matrix.csv"):
            for column, theirs in (("visual", "VT"), ("radiography", "RT")):
                yield (row["imperfection"],), column, "yes" if row[theirs] == "x" else ""

    return _placed("acceptance_methods_b31_3", ("kind",), found())


def _certificates() -> Cells:
    return _placed("certificates", ("material", "property", "edition"), _of_certificates())


def _of_certificates() -> Iterator[tuple[tuple[str, ...], str, str]]:
    for row in read("chemistry.csv"):
        for element, limit in row.items():
            if limit and element not in ("material", "sums", "state"):
                least, greatest = _bounds(limit)
                yield from _cells(row["material"], element, "any", least, greatest)
        for one in filter(None, row["sums"].split("; ")):
            terms, greatest = one.split()
            yield from _cells(row["material"], terms, "any", "", greatest)
    for row in read("strengths.csv"):
        for name in ("tensile", "yield"):
            si, us = ((row[f"{name}_{unit}"].split("-") + [""])[:2] for unit in ("mpa", "ksi"))
            yield from _cells(row["material"], name, "any", si[0], si[1], us[0], us[1])
        yield from _cells(row["material"], "elongation", "any", row["elongation"], "")
        for name, column, least in (("hardness", "hardness", ""), ("Mn for C", "mn_ceiling", "0.06")):
            older, newer = row[f"{column}_older"], row[f"{column}_newer"]
            editions = [("any", older)] if older == newer else [("older", older), ("newer", newer)]
            for edition, greatest in editions:
                if greatest:
                    yield from _cells(row["material"], name, edition, least, greatest)


def _cells(
    material: str, name: str, edition: str, least: str, greatest: str, least_us: str = "", greatest_us: str = ""
) -> Iterator[tuple[tuple[str, ...], str, str]]:
    key = (material, name, edition)
    bounds = {"least": least, "greatest": greatest, "least_us": least_us, "greatest_us": greatest_us}
    yield from ((key, column, value) for column, value in bounds.items())


def _bounds(limit: str) -> tuple[str, str]:
    """`0.29-1.06`, `>=0.10` or `0.30` as least and greatest."""
    if limit.startswith(">="):
        return limit[2:], ""
    least, dash, greatest = limit.partition("-")
    return (least, greatest) if dash else ("", least)


_READERS: Mapping[str, Callable[[], Cells]] = {
    "pipe": _pipe,
    "socket_fittings": _socket_fittings,
    "buttweld_fittings": _buttweld_fittings,
    "flanges": _flanges,
    "acceptance_b31_3": _acceptance,
    "acceptance_methods_b31_3": _methods,
    "certificates": _certificates,
}


@cache
def expected(name: str) -> Cells:
    """What each cell of a table must hold; raises KeyError for a table that nobody entered a second time."""
    return _READERS[name]() if name in _READERS else _of_columns(name)


def figures(name: str) -> list[tuple[int, str]]:
    """The cells of a table that are figures or decide where one holds."""
    rows = table(name).rows
    return [(place, column) for place, row in enumerate(rows) for column in row if column not in BESIDE]


def differences(name: str, rows: Sequence[Row]) -> list[str]:
    """The cells in which a table and its second entry differ."""
    wanted = expected(name)
    found = {(place, column): row[column] for place, row in enumerate(rows) for column in row if column not in BESIDE}
    return [
        f"{name} row {place + 1} {column}: {found.get((place, column))!r}, entered again as {wanted.get((place, column))!r}"
        for place, column in sorted(found.keys() | wanted.keys())
        if _value(found.get((place, column))) != _value(wanted.get((place, column)))
    ]


def _value(text: str | None) -> object:
    """A number by its value, any other text as it is."""
    if not text:
        return text
    try:
        whole, _, part = text.rpartition("-")
        return Fraction(part) + Fraction(whole) if whole and "/" in part else Fraction(text)
    except ValueError:
        return text


def changed(text: str) -> str:
    """A figure changed by the least that can be written: its last digit, or a letter more."""
    if text[-1:].isdigit():
        return f"{text[:-1]}{(int(text[-1]) + 1) % 10}"
    return f"{text}1"


__all__ = ["changed", "differences", "expected", "figures", "table_names"]
