"""Check values of imperfections, extents, sampling and leak tests, read from their text and asked of the calculators."""

import re
from collections.abc import Callable

import pytest

from tests.published.rows import Row, answer, first, near


def imperfection(kind: str) -> Callable[[Row], None]:
    def held(row: Row) -> None:
        text = row["inputs"]
        service, weld = re.match(r"(Normal|Category D|severe cyclic|Table K341.3.2) (\w+)", text).groups()  # type: ignore[union-attr]
        service = {"severe cyclic": "Severe cyclic", "Table K341.3.2": "High pressure"}.get(service, service)
        wall = re.search(r"Tw ([\d.]+)", text)
        measures = {
            "measured": r"(?:depth|concavity incl. reinforcement) ([\d.]+)",
            "length": r"(?:length|cumulative) ([\d.]+)",
            "width": r"width ([\d.]+)",
        }
        given = {key: found[1] for key, pattern in measures.items() if (found := re.search(pattern, text))}
        result = answer(
            "imperfection-limit", service=service, weld=weld, kind=kind, wall=wall[1] if wall else "5", **given
        )
        assert result["accepted"] is row["expected"].startswith("accept")
        letter = re.search(r"criterion (\w)|\((\w)[:)]", row["expected"])
        assert letter and result["letter"] == (letter[1] or letter[2])
        if limit := re.search(r"limit ([\d.]+) mm", row["expected"]):
            assert result["limit_mm"] == pytest.approx(float(limit[1]), abs=0.001)

    return held


def incomplete_penetration(row: Row) -> None:
    if "fillet" not in row["inputs"]:
        imperfection("incomplete-penetration")(row)
        return
    result = answer(
        "imperfection-limit", service="Normal", weld="fillet", kind="incomplete-penetration", wall="4", measured="9"
    )
    assert (result["letter"], result["accepted"]) == ("N/A", None)


def lack_of_fusion(row: Row) -> None:
    ask = {"service": "Category D", "kind": "lack-of-fusion", "wall": "4"}
    assert answer("imperfection-limit", weld="longitudinal", **ask)["letter"] == "A"
    assert answer("imperfection-limit", weld="fillet", **ask)["letter"] == "N/A"


def reinforcement(row: Row) -> None:
    ask = {"weld": "girth", "kind": "reinforcement", "wall": first(r"Tw ([\d.]+)", row["inputs"])}
    near(answer("imperfection-limit", service="Normal", **ask)["limit_mm"], row)
    category_d = float(first(r"Category D ([\d.]+)", row["expected"]))
    near(answer("imperfection-limit", service="Category D", **ask)["limit_mm"], row, category_d)


def surface_porosity(row: Row) -> None:
    ask = {"service": "Normal", "weld": "fillet", "kind": "surface-porosity", "measured": "1"}
    assert answer("imperfection-limit", wall="4", **ask)["accepted"] is False
    assert answer("imperfection-limit", wall="6", **ask)["accepted"] is None


def examination_extent(row: Row) -> None:
    text, expected = row["inputs"], row["expected"]
    service = {"severe cyclic": "Severe cyclic"}.get(text.split(";")[0], text.split(";")[0])
    girth = first(r"(\d+) girth", text)
    socket = found[1] if (found := re.search(r"(\d+) socket", text)) else "0"
    result = answer("examination-extent", service=service, girth=girth, socket=socket, welders="1")
    assert result["rt"] == int(first(r"^(\d+)", expected))
    if "MT or PT" in expected:
        assert result["surface"] == int(first(r"(\d+) MT", expected))
        assert result["vt"] == int(girth) + int(socket)


def progressive_sampling(row: Row) -> None:
    rounds = {
        "C083": ("pass,pass", "accepted", 2, 1),
        "C085": ("fail,fail/pass,pass,pass,pass", "accepted", 6, 3),
        "C086": ("pass,fail/pass,fail", "examine-all", 4, 3),
        "C087": ("fail,fail", "examine-all", 5, 3),
        "C089": ("", "examine-all", 0, 1),
    }
    given, state, extra, repairs = rounds[row["id"]]
    available = {"C087": {"available": "3"}, "C089": {"available": "0"}}.get(row["id"], {})
    result = answer("progressive", rejects="1", rounds=given, **available)
    assert (result["state"], result["extra_total"], result["repairs"]) == (state, extra, repairs)
    if row["id"] == "C087":
        assert result["due_now"] == 3


def leak_test(row: Row) -> None:
    text = row["inputs"]
    if text.startswith("pneumatic test at"):
        design = float(first(r"at (\d+)", text)) / 1.1
        assert answer("test-pressure", kind="pneumatic", design=f"{design:.6f} kPa")["relief"] == pytest.approx(
            5345, abs=0.01
        )
    elif text.startswith("pneumatic"):
        result = answer("test-pressure", kind="pneumatic", design="1000 kPa")
        assert (result["pressure"], result["max_pressure"], result["relief"]) == (1100, 1330, 1210)
    else:
        design, st, s = re.match(r"P (\d+); S_T (\d+); S (\d+)", text).groups()  # type: ignore[union-attr]
        near(answer("test-pressure", kind="hydrostatic", design=design, st=st, s=s)["pressure"], row)
