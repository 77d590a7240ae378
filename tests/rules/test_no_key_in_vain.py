"""What a calculator lets a person give plays a part: the answer with it is another than the answer without."""

from collections.abc import Iterator, Mapping

import pytest

from rules.calculators.asked import ComputeError
from rules.calculators.described import DESCRIBED
from rules.calculators.fields import field_of
from rules.compute import CALCULATORS, compute
from tests.rules.test_compute import EXAMPLES

# Of an analysis, asked with the others since a certificate lists them; no limit and no formula has them.
NO_PART = {
    *(("carbon-equivalent", key) for key in ("P", "S", "Nb", "Ti", "Al", "N")),
    *(("certificate-check", key) for key in ("Nb", "Ti", "Al", "B", "N")),
}  # fmt: skip
BUTT = {"nps": "1", "joint": "butt", "centre": "500 mm", "end1": "elbow-90", "end2": "elbow-90"}
GROOVE = {"process": "SMAW", "weld": "groove", "coupon": "pipe", "position": "2G+5G", "deposit": "14", "od": "60.3"}
PLATE = {"process": "SMAW", "weld": "fillet", "coupon": "plate", "position": "2F", "deposit": "5"}
GROOVE_WELD = {"section": "groove", "nps": "4", "schedule": "40", "process": "GTAW"}
COVERED = {"joint_kind": "butt", "nps": "4", "schedule": "40", "p": "1"}
YIELD = {"kind": "pneumatic", "design": "1000 kPa"}
GROWTH = {"nps": "1", "class": "3000", "material": "carbon", "from": "70 F", "to": "300 F"}
# Where the ordinary example is not moved by a key: values that are, and what is given for the key.
WHERE: Mapping[tuple[str, str], tuple[Mapping[str, str], str]] = {
    ("cut-length", "root"): (BUTT, "3"),
    ("cut-length", "flange_edition"): (
        {"nps": "2", "joint": "butt", "centre": "500 mm", "end1": "flange-150", "end2": "elbow-90"}, "1996"),
    ("flange-leg", "hub"): ({"nps": "1", "schedule": "80"}, "3"),
    ("imperfection-limit", "width"): ({"service": "Normal", "weld": "girth", "kind": "linear", "wall": "6"}, "0.8"),
    ("welder-range", "layers"): (GROOVE, "3"),
    ("welder-range", "p"): (GROOVE | {"joint_p": "51"}, "1"),
    ("welder-range", "f"): (GROOVE | {"joint_f": "4"}, "3"),
    ("welder-range", "backing"): (GROOVE | {"joint_backing": "no"}, "yes"),
    ("welder-range", "coupon_thickness"): (PLATE, "3"),
    ("welder-range", "edition"): (GROOVE | {"p": "1", "joint_p": "15E"}, "older"),
    ("certificate-check", "section"): (
        {"material": "A105", "C": "0.30", "Mn": "1.05", "supplement": "yes"}, "60"),
    ("examination-extent", "welders"): ({"service": "Normal", "girth": "10", "socket": "0"}, "3"),
    ("examination-extent", "p"): ({"service": "Elevated temperature", "girth": "10", "socket": "4"}, "1"),
    ("progressive", "available"): ({"rejects": "1"}, "1"),
    ("preheat", "carbon"): ({"p": "1", "thickness": "30", "edition": "2014"}, "0.35"),
    ("preheat", "tensile"): ({"p": "1", "thickness": "20", "edition": "2010"}, "600"),
    ("heat-treatment", "throat"): ({"p": "4", "thickness": "16", "preheat": "120"}, "14"),
    ("test-pressure", "nps"): (YIELD | {"schedule": "40", "yield": "240"}, "2"),
    ("test-pressure", "schedule"): (YIELD | {"nps": "2", "yield": "240"}, "40"),
    ("test-pressure", "yield"): (YIELD | {"nps": "2", "schedule": "40"}, "240"),
    ("insertion", "gap"): ({"nps": "1", "class": "3000"}, "3"),
    ("gap", "wps"): ({"measured": "1/8 in", "wps_min": "1/16 in"}, "W-11"),
    ("crooked-cut", "gap"): ({"out_of_square": "1 mm"}, "3"),
    ("crooked-cut", "nps"): ({"out_of_square": "1 mm", "over": "100"}, "2"),
    ("crooked-cut", "over"): ({"out_of_square": "1 mm", "nps": "2"}, "100"),
    ("socket-growth", "socket_material"): (GROWTH | {"socket_to": "250 F"}, "austenitic"),
    ("socket-growth", "gap"): (GROWTH, "3"),
    ("least-passes", "leg"): ({"process": "SMAW"}, "12"),
    ("filler-needed", "leg2"): (
        {"section": "fillet", "nps": "1", "schedule": "80", "process": "GTAW", "leg": "6 mm"}, "9"),
    ("filler-needed", "root"): (GROOVE_WELD, "3"),
    ("filler-needed", "land"): (GROOVE_WELD, "1.5"),
    ("filler-needed", "angle"): (GROOVE_WELD, "60"),
    ("filler-needed", "reinforcement"): (GROOVE_WELD, "1.5"),
    ("surface-indications", "in_line"): ({"method": "PT", "rounded": "3 mm"}, "4"),
    ("surface-indications", "apart"): ({"method": "PT", "rounded": "3 mm", "in_line": "4"}, "3"),
    ("procedure-check", "position"): (COVERED | {"wps_positions": "1G 2G"}, "5G"),
    ("procedure-check", "progression"): (COVERED | {"wps_progression": "up"}, "down"),
    ("procedure-check", "process"): (COVERED | {"wps_processes": "GTAW"}, "SMAW"),
    ("procedure-check", "filler"): (COVERED | {"wps_fillers": "ER70S-6"}, "E6010"),
    ("procedure-check", "deposit"): (COVERED | {"wps_deposit_max": "5"}, "6"),
    ("procedure-check", "thickness"): (COVERED | {"wps_pwht": "no", "edition": "2012"}, "25"),
    ("procedure-check", "carbon"): (COVERED | {"wps_preheat": "20", "thickness": "30", "edition": "2016"}, "0.35"),
    ("procedure-check", "tensile"): (COVERED | {"p": "3", "wps_preheat": "20", "thickness": "12", "edition": "2016"}, "600"),
    ("procedure-check", "layers"): (
        COVERED | {"wps_pwht": "no", "thickness": "20", "wps_preheat": "95", "edition": "2018"}, "single"),
}  # fmt: skip


def answered(name: str, values: Mapping[str, str]) -> tuple[str, ...] | None:
    """The answer as text without what was asked; None where it is refused."""
    try:
        told = compute(name, values, units="SI")
    except ComputeError:
        return None
    return tuple(repr(told[part]) for part in ("result", "steps", "source", "notes"))


def tries(name: str, key: str) -> Iterator[tuple[Mapping[str, str], str]]:
    """Values without the key, and what to give for it."""
    if (name, key) in WHERE:
        yield WHERE[name, key]
        return
    field = field_of(name, key)
    for base in (DESCRIBED[name].example, EXAMPLES[name]):
        bare = {other: value for other, value in base.items() if other != key}
        for value in (field.example("SI"), *field.choices()[:40]):
            yield bare, value


@pytest.mark.parametrize(
    ("name", "key"), [(name, key) for name, one in CALCULATORS.items() for key in one.optional], ids=lambda one: one
)
def test_what_may_be_given_plays_a_part(name: str, key: str) -> None:
    pairs = [(answered(name, bare), answered(name, {**bare, key: value})) for bare, value in tries(name, key)]
    moved = [with_it for without, with_it in pairs if with_it not in (None, without)]
    assert bool(moved) == ((name, key) not in NO_PART)
