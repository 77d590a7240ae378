"""What a performance qualification covers: diameter, deposit, positions, base metals, fillers and backing."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache, lru_cache

from rules.facts import QualificationFacts
from rules.nearest import NotAccepted
from rules.positions import in_words, with_special
from rules.procedure import bare_p
from rules.source import Source, Verdict
from rules.tables import basis, given, length_of, table
from rules.units import SI, US, parse_length, show_length

CODE = "ASME BPVC Section IX"
FAMILY_EDITIONS = ("older", "2010", "current")
FAMILY_EDITION = "current"
LARGE_MM, SMALL_PIPE_MM = (Decimal(row["mm"]) for row in table("pipe_sizes_qw461_9").rows)
LARGE_US_MM, SMALL_PIPE_US_MM = (parse_length(row["inch"], US) for row in table("pipe_sizes_qw461_9").rows)
# A pipe's inch and metric diameters differ by up to 0.05 mm: 2-7/8 in is 73.025 mm and stands for 73 mm.
SLACK_MM = Decimal("0.06")
SHORT = "short-circuiting"


# Where the figures behind a paragraph stand.
TABLES = {
    "QW-461.9": ("positions_qw461_9", "pipe_sizes_qw461_9"),
    "QW-433": ("f_numbers_qw433",),
    "QW-423.1": ("p_numbers_qw423",),
    "QW-452.1(b)": ("deposit_qw452_1b",),
    "QW-404.32": ("deposit_qw452_1b",),
    "QW-452.3": ("diameters_qw452_3",),
    "QW-452.4": ("diameters_qw452_3",),
    "QW-452.5": ("fillet_tests_qw452_5",),
}


def source(clause: str, state: str = "checked") -> Source:
    """A paragraph of the welders' code."""
    return Source(CODE, "", clause, state, tables=tuple(basis(name) for name in TABLES.get(clause, ())))


@cache
def families(edition: str) -> Source:
    """The paragraph of the families of P-Numbers, with the edition whose families are used."""
    return replace(source("QW-423.1", "conflict"), note=f"families of the {edition} edition")


@dataclass(frozen=True, slots=True)
class Range:
    """What one qualification covers, as a person reads it in the job's units."""

    wpq: str
    process: str
    diameter: str
    deposit: str
    positions: tuple[str, ...]
    p_numbers: str
    f_numbers: str
    notes: tuple[str, ...] = ()


def is_groove(qualification: QualificationFacts) -> bool:
    """Whether the test was a groove weld; a fillet test qualifies fillets only."""
    return qualification.weld != "fillet"


def is_short(qualification: QualificationFacts) -> bool:
    """Whether the test was welded with short-circuiting transfer; the `-S` of FCAW-S is self-shielded."""
    return is_short_transfer(qualification.transfer) or qualification.process.strip().upper() == "GMAW-S"


def is_short_transfer(transfer: str) -> bool:
    """Whether a transfer mode's name means short-circuiting."""
    return transfer.strip().lower().startswith(("short", "s-c", "gmaw-s")) or transfer.strip().upper() in ("S", "SC")


def least_od(qualification: QualificationFacts, units: str = SI) -> Decimal | None:
    """Least outside diameter in mm that the test's coupon qualifies, for grooves or for fillets of a fillet test.

    None: no limit but those of the positions, as for plate.
    Source    QW-452.3 (groove), QW-452.4 (small-diameter fillet)
    """
    coupon = qualification.coupon_diameter_mm
    if qualification.coupon == "plate" or coupon is None:
        return None
    for row in reversed(table("diameters_qw452_3").rows):
        start, over = (row[f"coupon_{bound}_{'in' if units == US else 'mm'}"] for bound in ("from", "over"))
        if start and coupon < parse_length(start, units) - SLACK_MM:
            continue
        if over and coupon <= parse_length(over, units) + SLACK_MM:
            continue
        least = row["least_in" if units == US else "least_mm"]
        return parse_length(least, units) if least else coupon
    return coupon


def most_deposit(qualification: QualificationFacts, units: str = SI) -> tuple[Decimal | None, str, Source]:
    """Greatest deposit in mm (None: unlimited), its arithmetic, and its paragraph.

    Source    QW-452.1(b): 2t, unlimited from 13 mm (1/2 in) in three layers; QW-404.32 for short-circuiting transfer
    """
    transfer = SHORT if is_short(qualification) else "any"
    deposit = qualification.deposit_mm
    chosen = None
    for row in table("deposit_qw452_1b").rows:
        start = row["deposit_from_in" if units == US else "deposit_from_mm"]
        if row["transfer"] != transfer or (start and deposit < parse_length(start, units)):
            continue
        if row["layers_min"] and (qualification.layers or 0) < int(row["layers_min"]):
            continue
        chosen = row
    assert chosen is not None
    shown = show_length(deposit, units)
    origin = source(chosen["clause"], chosen["state"])
    if not chosen["factor"]:
        layers = f" in {qualification.layers} layers" if chosen["layers_min"] else ""
        return None, f"t = {shown}{layers}: unlimited", origin
    most = Decimal(chosen["factor"]) * deposit
    return most, f"{chosen['factor']} x {shown} = {show_length(most, units)}", origin


def positions_for(qualification: QualificationFacts, fillet: bool, od_mm: Decimal | None) -> frozenset[str]:
    """The letters F, H, V, O, S that the test qualifies for a fillet or groove on pipe of this diameter.

    od_mm     of the production pipe; None: plate, or over 610 mm
    Source    QW-461.9
    """
    letters: set[str] = set()
    for test in qualification.positions:
        row = _position_rows().get((qualification.coupon, test.strip().upper()))
        if row is None:
            continue
        large = od_mm is None or od_mm > LARGE_MM + SLACK_MM
        column = "fillet" if fillet else "groove_large" if large else "groove_small"
        restricted = row.get(f"{column}_from_73") == "yes"
        if restricted and od_mm is not None and od_mm < SMALL_PIPE_MM - SLACK_MM:
            continue
        letters |= set(row[column])
    return with_special(frozenset(letters))


def known_test_positions(coupon: str) -> tuple[str, ...]:
    """The test positions that the table knows for a coupon."""
    return tuple(test for kind, test in _position_rows() if kind == coupon)


@lru_cache(maxsize=4096)
def p_family(p_number: str, edition: str = FAMILY_EDITION) -> frozenset[str]:
    """The P-Numbers that a test on this one qualifies; the number alone where no family has it.

    Source    QW-423.1, which widened by edition
    """
    plain = bare_p(p_number)
    for row in table("p_numbers_qw423").rows:
        if row["edition"] in ("any", edition) and plain in row["p_numbers"].split():
            return frozenset(row["p_numbers"].split())
    return frozenset({plain})


@cache
def tacks_any_diameter(edition: str) -> bool:
    """Whether this edition frees a tack from the diameter limits; raises ValueError naming the accepted editions.

    Source    QW-461.9 notes, newer text, to a quarter of the circumference (from memory)
    """
    rows = {row["edition"]: row for row in table("tacks_qw461_9").rows}
    if edition not in rows:
        raise NotAccepted(f'There is no edition "{edition}"', edition, rows)
    return rows[edition]["any_diameter"] == "yes"


def fillet_test_range(coupon_thickness_mm: Decimal, units: str = SI) -> Verdict[tuple[Decimal | None, Decimal | None]]:
    """Base metal from and to (None: all) that a fillet test in plate qualifies, in mm; a thin one limits the size too.

    Raises    ValueError for a thickness that is not positive
    Source    QW-452.5: all from 5 mm (3/16 in); thinner: base T to 2 T, fillets to T (from memory)
    """
    if coupon_thickness_mm <= 0:
        raise ValueError(f"A coupon of {coupon_thickness_mm:f} mm is not possible; it must be over 0 mm.")
    thin, full = table("fillet_tests_qw452_5").rows
    start = given(length_of(full, "coupon_from", units))
    origin = source("QW-452.5", full["state"])
    shown = show_length(coupon_thickness_mm, units)
    if coupon_thickness_mm >= start - SLACK_MM:
        return Verdict((None, None), (f"T = {shown}: fillets of all sizes on all thicknesses",), origin)
    most = Decimal(thin["base_to_factor"]) * coupon_thickness_mm
    told = f"base metal {shown} to {thin['base_to_factor']} T = {show_length(most, units)}"
    step = f"T = {shown}: {told}, fillets to {shown}"
    return Verdict((coupon_thickness_mm, most), (step,), origin)


@lru_cache(maxsize=4096)
def f_covered(f_number: str, test_backing: str, with_backing: bool) -> frozenset[str]:
    """The F-Numbers that a test with this one qualifies, for welds with or without backing.

    test_backing   yes, no, or empty where the record does not say: then as without, and backing is not judged
    Source         QW-433
    """
    covered: set[str] = set()
    for tested in f_numbers(f_number):
        for row in table("f_numbers_qw433").rows:
            if tested in row["tested"].split() and row["backing"] in ("any", test_backing or "no"):
                covered |= set(row["with_backing" if with_backing else "without_backing"].split())
        covered.add(tested)
    return frozenset(covered)


@lru_cache(maxsize=4096)
def f_numbers(text: str) -> tuple[str, ...]:
    """The bare F-Numbers of a text: `F-6`, `F-No. 3, F-No. 4` or `6`."""
    return tuple(re.findall(r"\d+", text))


@lru_cache(maxsize=4096)
def f_number_of(classification: str) -> str:
    """The F-Number of a filler classification, empty where the table lacks it. Source: QW-432."""
    wanted = classification.strip().upper()
    return next((row["f_number"] for row in table("fillers").rows if row["classification"].upper() == wanted), "")


def qualification_range(qualification: QualificationFacts, units: str = SI, edition: str = "") -> Range:
    """What a qualification covers, in words for the welders page.

    edition   of the families of P-Numbers: older, 2010, current; empty: current
    """
    most, _, _ = most_deposit(qualification, units)
    groove = is_groove(qualification)
    notes = ["fillets of all sizes and diameters"] if groove else ["fillets only"]
    if qualification.backing == "yes" and groove:
        notes.append("grooves with backing only")
    if any(one.strip().upper() == "SP" for one in qualification.positions):
        notes.append("special: the position that was tested; its angle is not recorded")
    without = qualification.backing != "yes"
    f_with, f_without = f_covered(qualification.f_number, qualification.backing, True), None
    if without:
        f_without = f_covered(qualification.f_number, qualification.backing, False)
    return Range(
        wpq=qualification.wpq,
        process=qualification.process,
        diameter=_diameter(qualification, units),
        deposit="all" if not groove else "unlimited" if most is None else f"to {show_length(most, units)}",
        positions=_position_words(qualification, groove, units),
        p_numbers=_numbers(p_family(qualification.p_number, edition or FAMILY_EDITION), "P-"),
        f_numbers=_numbers(f_with, "F-") + _without(f_with, f_without),
        notes=tuple(notes),
    )


def _without(f_with: frozenset[str], f_without: frozenset[str] | None) -> str:
    if f_without is None:
        return " with backing"
    return "" if f_without == f_with else f" with backing, {_numbers(f_without, 'F-')} without"


def _diameter(qualification: QualificationFacts, units: str) -> str:
    least = least_od(qualification, units)
    if least is not None:
        return f"from {show_length(least, units)}"
    if qualification.coupon == "plate":
        return f"from {show_length(SMALL_PIPE_US_MM if units == US else SMALL_PIPE_MM, units)}"
    return "not recorded"


def _position_words(qualification: QualificationFacts, groove: bool, units: str) -> tuple[str, ...]:
    fillet = positions_for(qualification, True, SMALL_PIPE_MM)
    if not groove:
        return (f"fillet: {in_words(fillet)}",)
    small = positions_for(qualification, False, SMALL_PIPE_MM)
    large = positions_for(qualification, False, None)
    words = [f"groove: {in_words(small)}"]
    if large != small:
        over = show_length(LARGE_US_MM if units == US else LARGE_MM, units)
        words.append(f"groove over {over}: {in_words(large)}")
    return (*words, f"fillet: {in_words(fillet)}")


@cache
def _position_rows() -> dict[tuple[str, str], dict[str, str]]:
    return {(row["coupon"], row["test"]): dict(row) for row in table("positions_qw461_9").rows}


def _numbers(numbers: frozenset[str], prefix: str) -> str:
    """Numbers in order, runs shortened: `P-1 to P-11, P-34`."""
    whole = sorted({int(match[0]) for one in numbers if (match := re.match(r"\d+", one))})
    runs: list[list[int]] = []
    for number in whole:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(_run(run, prefix) for run in runs)


def _run(run: Sequence[int], prefix: str) -> str:
    if len(run) > 2:
        return f"{prefix}{run[0]} to {prefix}{run[-1]}"
    return ", ".join(f"{prefix}{number}" for number in run)
