"""Check values of welders' ranges and continuity, read from their text and asked of the calculators."""

import re
from datetime import date
from typing import Any

from tests.published.rows import Row, answer, first, near

LETTERS = {"F": "flat", "H": "horizontal", "V": "vertical", "O": "overhead"}


def welder_range(**values: Any) -> dict[str, Any]:
    ask = {
        "process": "GTAW",
        "weld": "groove",
        "coupon": "pipe",
        "position": "6G",
        "deposit": "6",
        "od": "60.3",
    } | values
    return answer("welder-range", **{key: value for key, value in ask.items() if value})


def position_range(row: Row) -> None:
    text = row["inputs"]
    coupon, test = re.search(r"(pipe|plate) (\S+?)(?: only)?;", text).groups()  # type: ignore[union-attr]
    kind = first(r"production (groove|fillet)", text)
    od = found[1] if (found := re.search(r"OD ([\d.]+)", text)) else "114.3"
    weld = "fillet" if test.rstrip("R").endswith("F") else "groove"
    ask = {
        "weld": weld,
        "coupon": coupon,
        "position": test,
        "joint_od": od,
        "joint_kind": "butt" if kind == "groove" else "socket",
        "od": "60.3" if coupon == "pipe" else "",
    }
    expected = row["expected"]
    places = {"all": set("FHVO"), "not": set()}.get(expected.split()[0], set(expected.split("(")[0].strip().split(",")))
    if "production groove in 2G" in text:
        assert welder_range(**ask, joint_position="2G")["qualified"] is False
        return
    for letter, place in LETTERS.items():
        assert welder_range(**ask, joint_position=place)["qualified"] is (letter in places), place


def diameter_range(row: Row) -> None:
    text = row["inputs"]
    if "socket weld fillet" in text:
        result = welder_range(od="168.3", joint_kind="socket", joint_od="21.3")
        assert result["qualified"] is True
    elif "production NPS" in text:
        assert welder_range(od="60.3", joint_kind="butt", joint_od="26.7")["qualified"] is True
        assert welder_range(od="60.3", joint_kind="butt", joint_od="21.3")["qualified"] is False
    else:
        near(welder_range(od=first(r"OD ([\d.]+)", text))["min_od_mm"], row)


def thickness_range(row: Row) -> None:
    text = row["inputs"]
    if "combination" in text:
        for process, deposit, layers, most in (("GTAW", "3", "1", 6.0), ("SMAW", "10", "4", 20.0)):
            near(welder_range(process=process, deposit=deposit, layers=layers)["max_deposit_mm"], row, most)
    elif "GMAW-S" in text:
        near(welder_range(process="GMAW-S", deposit="9")["max_deposit_mm"], row)
    else:
        ask = {"deposit": first(r"t ([\d.]+)", text), "layers": first(r"(\d) layers", text)}
        near(welder_range(**ask)["max_deposit_mm"], row)


def f_number_range(row: Row) -> None:
    tested, backing, used, made = re.match(
        r"tested F-(\d) (with|without) backing; production F-(\d) (without|with)", row["inputs"]
    ).groups()  # type: ignore[union-attr]
    result = welder_range(
        process="SMAW",
        f=tested,
        backing="yes" if backing == "with" else "no",
        joint_kind="butt",
        joint_f=used,
        joint_backing="yes" if made == "with" else "no",
        joint_od="60.3",
    )
    assert result["qualified"] is (row["expected"] == "qualified")


def p_number_range(row: Row) -> None:
    assert welder_range(p="P-1", joint_kind="butt", joint_p="P-8", joint_od="60.3")["qualified"] is True


def expiry(row: Row) -> None:
    if "query date" in row["inputs"]:
        for last, alive in (("2024-01-10", False), ("2024-05-20", True)):
            assert answer("continuity", last_used=last, as_of="2024-07-15")["alive"] is alive
        assert answer("continuity", last_used="2024-05-20")["expires"] == "2024-11-20"
        return
    last = first(r"(\d{4}-\d\d-\d\d)", row["inputs"])
    assert date.fromisoformat(answer("continuity", last_used=last)["expires"]) == date.fromisoformat(row["expected"])
