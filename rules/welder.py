"""May this welder make this weld on this day, and if not, every reason."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from functools import lru_cache

from rules.acceptance import FILLET_KINDS
from rules.compare import folded
from rules.continuity import SOURCE as CONTINUITY
from rules.continuity import base_process, span_on, spans_of
from rules.facts import JointFacts, ProcedureFacts, ProcedurePassFacts, QualificationFacts, WelderFacts
from rules.limits import listed
from rules.positions import ALL, NAMES, SPECIAL, in_words, needed
from rules.procedure import bare_p
from rules.ranges import (
    FAMILY_EDITION,
    SLACK_MM,
    SMALL_PIPE_MM,
    f_covered,
    f_number_of,
    f_numbers,
    families,
    is_groove,
    is_short,
    least_od,
    most_deposit,
    p_family,
    positions_for,
    source,
    tacks_any_diameter,
)
from rules.remember import Remembered
from rules.source import Source
from rules.units import show_length

NOT_QUALIFIED, LAPSED, SUSPENDED = "welder-not-qualified", "qualification-lapsed", "stamp-suspended"


@dataclass(frozen=True, slots=True, eq=False)
class Need:
    """What a weld asks of its welder. Alike needs are one object, so that what follows from them is worked out once.

    positions   letters F, H, V, O, S; empty where no position is recorded
    p_numbers   of both sides, as far as known
    backing     None where the procedure does not say
    deposit_mm  None where one welder's share is not known, and for fillets
    edition     of the families of P-Numbers and of what tacks are free from: older, 2010, current
    tack        a tack of at most a quarter of the circumference, which newer editions free from the diameter
    """

    process: str
    fillet: bool
    od_mm: Decimal
    deposit_mm: Decimal | None
    positions: frozenset[str]
    p_numbers: tuple[str, ...]
    f_number: str
    backing: bool | None
    progression: str
    units: str
    edition: str = FAMILY_EDITION
    tack: bool = False


@dataclass(frozen=True, slots=True)
class Shortfall:
    """One variable of a need that a qualification does not cover."""

    variable: str
    measured: str
    limit: str
    source: Source

    def __str__(self) -> str:
        return f"{self.variable} {self.measured}, {self.limit} ({self.source})"


@dataclass(frozen=True, slots=True)
class Answer:
    """Whether the welder may, and if not: the finding's code and every reason.

    lapses_on   the day on which the process lapses if it is not used again; None where not qualified
    """

    may: bool
    code: str
    reasons: tuple[str, ...]
    source: Source
    lapses_on: date | None = None
    measured: str = ""
    limit: str = ""


_needs: Remembered[Need] = Remembered()
_answers: Remembered[Answer] = Remembered()
_coverage: Remembered[tuple[tuple[QualificationFacts, ...], ...]] = Remembered()


def need_of(
    joint: JointFacts,
    procedure: ProcedureFacts,
    units: str,
    *,
    role: str,
    process: str,
    position: str = "",
    filler: str = "",
    alone: bool = True,
    one_process: bool | None = None,
    edition: str = "",
    tack: bool = False,
) -> Need:
    """What a pass of this role and process on this joint asks of its welder.

    position  of the pass; empty: the joint's
    filler    classification used; empty: the procedure's
    alone     one welder deposits the whole weld, whose wall is the deposit if it is by one process
    one_process  whether the passes tell that one process made the whole weld; None: as many as the procedure has
    edition   of BPVC Section IX as the job names it; empty: the families of the current one, and no relief for tacks
    tack      it is a tack, taken as within the share of the circumference that some editions relieve
    """
    a, b = joint.material_a, joint.material_b
    p_a, p_b = a.p_number if a else "", b.p_number if b else ""
    place = position or joint.position
    single = alone and (len(procedure.processes) < 2 if one_process is None else one_process)
    wall = joint.wall_mm if single else None
    named = (edition, tack and bool(edition))
    key = (role, process, place, filler, joint.kind, joint.od_mm, wall, p_a, p_b, units, named)
    return _needs.get(procedure, key, _need, joint, procedure, role, process, place, filler, single, units, *named)


def _need(
    joint: JointFacts,
    procedure: ProcedureFacts,
    role: str,
    process: str,
    place: str,
    filler: str,
    single: bool,
    units: str,
    edition: str,
    tack: bool,
) -> Need:
    fillet = joint.kind in FILLET_KINDS
    rows = [row for row in procedure.passes if row.role == role and row.process == process]
    p_numbers = {bare_p(side.p_number) for side in (joint.material_a, joint.material_b) if side and side.p_number}
    return _one_object(
        process,
        fillet,
        joint.od_mm,
        joint.wall_mm if single and not fillet else None,
        needed(place) if place else frozenset(),
        tuple(sorted(p_numbers)),
        _f_number(rows, filler),
        _backing(procedure, role, fillet),
        _direction(procedure.progression),
        units,
        edition or FAMILY_EDITION,
        tack,
    )


# Roles and procedures that ask the same of a welder share one need.
_one_object = lru_cache(maxsize=16384)(Need)


def _f_number(rows: Sequence[ProcedurePassFacts], filler: str) -> str:
    """The F-Number of the filler used, as the procedure's row or the table has it; else of the procedure's filler."""
    alike = [row for row in rows if folded(row.filler) == folded(filler)]
    row = next(iter(alike if filler else rows), None)
    stated = f_numbers(row.f_number) if row and row.f_number else ()
    return stated[0] if stated else f_number_of(filler or (row.filler if row else ""))


def _backing(procedure: ProcedureFacts, role: str, fillet: bool) -> bool | None:
    """Whether the weld is made on backing: fillets and passes over weld metal count as backed."""
    if fillet or role in ("hot", "fill", "cap"):
        return True
    return {"yes": True, "no": False}.get(procedure.backing.strip().lower())


def may_weld(welder: WelderFacts | None, need: Need, on: date, *, stamp: str, is_use: bool) -> Answer:
    """Whether a welder may make a weld on a day.

    welder   None: nobody registered the stamp
    is_use   the weld was made on that day, which on the last day keeps the process alive
    Source   ASME BPVC Section IX QW-300 to QW-460
    """
    if welder is None or not welder.known:
        return Answer(False, NOT_QUALIFIED, (f"Stamp {stamp} is not registered.",), source("QW-300", "memory"))
    return _answers.get(welder, (need, on, is_use), _answer, welder, need, on, is_use)


def _answer(welder: WelderFacts, need: Need, on: date, is_use: bool) -> Answer:
    process = base_process(need.process)
    span = span_on(welder, process, on, is_use)
    against = [*_on_paper(welder, need, on), *([] if span else _not_alive(welder, process, on))]
    if not against:
        assert span is not None
        return Answer(True, "", (), CONTINUITY, lapses_on=span.ends)
    others = tuple(reason for one in against[1:] for reason in one.reasons)
    return replace(against[0], reasons=(*against[0].reasons, *others))


def _on_paper(welder: WelderFacts, need: Need, on: date) -> Iterator[Answer]:
    """What the register and the tests say against the welder, the gravest first."""
    if (welder.stamp_from and on < welder.stamp_from) or (welder.stamp_to and on > welder.stamp_to):
        yield _outside_period(welder, on)
    groups = _coverage.get(welder, need, _cover, welder, need)
    standing = [[one for one in group if one.tested_on <= on] for group in groups]
    if not all(standing):
        yield _not_qualified(welder, need, on)
    for group in standing:
        if group and not any(is_active(one, on) for one in group):
            yield _suspended(welder, group[0], on)
            return


def _not_alive(welder: WelderFacts, process: str, on: date) -> list[Answer]:
    """The lapse of a process that was once alive; one never tested is told as such already."""
    return [_lapsed(welder, process, on)] if any(span.begins <= on for span in spans_of(welder, process)) else []


def is_active(qualification: QualificationFacts, on: date) -> bool:
    """Whether a qualification was neither suspended nor revoked on a day."""
    since = qualification.status_on
    return qualification.status in ("", "active") or (since is not None and on < since)


def _cover(welder: WelderFacts, need: Need) -> tuple[tuple[QualificationFacts, ...], ...]:
    """For each position needed the qualifications that cover it: tests in several positions add up."""
    found = _by_letter(welder, need, need.positions)
    if SPECIAL in need.positions and not all(found):
        return _by_letter(welder, need, need.positions - {SPECIAL} | ALL)  # all positions cover a special one too
    return found


def _by_letter(welder: WelderFacts, need: Need, letters: frozenset[str]) -> tuple[tuple[QualificationFacts, ...], ...]:
    return tuple(
        tuple(one for one in welder.qualifications if not any(shortfalls(one, need, letter)))
        for letter in sorted(letters) or [""]
    )


def shortfalls(one: QualificationFacts, need: Need, letter: str) -> Iterator[Shortfall]:
    """What of a need, in one position, a qualification does not cover; what is not recorded is not judged."""
    if base_process(one.process) != base_process(need.process):
        yield Shortfall("process", need.process, f"tested by {one.process}", source("QW-350"))
        return
    if not is_groove(one) and not need.fillet:
        yield Shortfall("weld", "groove", "a fillet test qualifies fillets only", source("QW-303", "memory"))
        return
    yield from _diameter(one, need)
    yield from _deposit(one, need)
    yield from _metals(one, need)
    yield from _technique(one, need, letter)
    if letter and one.positions:
        given = positions_for(one, need.fillet, need.od_mm)
        if letter not in given:
            tested = "+".join(one.positions)
            limit = f"{one.coupon} {tested} qualifies {in_words(given)}"
            yield Shortfall("position", NAMES[letter], limit, source("QW-461.9"))


def _diameter(one: QualificationFacts, need: Need) -> Iterator[Shortfall]:
    """A groove test covers fillets of every diameter (QW-452.6); else the coupon's diameter limits."""
    if (need.fillet and is_groove(one)) or (need.tack and tacks_any_diameter(need.edition)):
        return
    least, clause = least_od(one, need.units), "QW-452.4" if need.fillet else "QW-452.3"
    if one.coupon == "plate":
        least, clause = SMALL_PIPE_MM, "QW-461.9"
    if least is not None and need.od_mm < least - SLACK_MM:
        shown = show_length(need.od_mm, need.units)
        yield Shortfall("outside diameter", shown, f"at least {show_length(least, need.units)}", source(clause))


def _deposit(one: QualificationFacts, need: Need) -> Iterator[Shortfall]:
    if need.deposit_mm is None or not is_groove(one):
        return
    most, _, origin = most_deposit(one, need.units)
    if most is not None and need.deposit_mm > most + SLACK_MM:
        shown = show_length(need.deposit_mm, need.units)
        yield Shortfall("deposit thickness", shown, f"at most {show_length(most, need.units)}", origin)


def _metals(one: QualificationFacts, need: Need) -> Iterator[Shortfall]:
    if one.p_number:
        for p_number in need.p_numbers:
            if p_number not in p_family(one.p_number, need.edition):
                limit = f"tested on P-{bare_p(one.p_number)}"
                yield Shortfall("base metal", f"P-{p_number}", limit, families(need.edition))
    if one.f_number and need.f_number:
        without = need.backing is False and one.backing != "yes"
        if need.f_number not in f_covered(one.f_number, one.backing, not without):
            tested = f"tested with {listed([f'F-{number}' for number in f_numbers(one.f_number)])}"
            limit = f"{tested}{' without backing' if without else ''}"
            yield Shortfall("filler", f"F-{need.f_number}", limit, source("QW-433", "memory"))


def _technique(one: QualificationFacts, need: Need, letter: str) -> Iterator[Shortfall]:
    if need.backing is False and one.backing == "yes":
        yield Shortfall("backing", "none", "tested with backing", source("QW-402.4"))
    tested = _direction(one.progression)
    if letter == "V" and tested and need.progression and tested != need.progression:
        yield Shortfall("progression", need.progression, f"tested {tested}", source("QW-405.3"))
    if base_process(need.process) == "GMAW" and need.process.upper().endswith("-S") != is_short(one):
        known = bool(one.transfer) or is_short(one)
        if known or need.process.upper().endswith("-S"):
            wanted = "short-circuiting" if need.process.upper().endswith("-S") else "other transfer"
            yield Shortfall(
                "transfer", wanted, f"tested with {one.transfer or one.process}", source("QW-409.2", "memory")
            )


def _direction(progression: str) -> str:
    plain = progression.lower()
    return "down" if "down" in plain else "up" if "up" in plain else ""


def _outside_period(welder: WelderFacts, on: date) -> Answer:
    period = " ".join(
        part
        for part in (
            f"from {welder.stamp_from}" if welder.stamp_from else "",
            f"to {welder.stamp_to}" if welder.stamp_to else "",
        )
        if part
    )
    told = f"Stamp {welder.stamp} was given {period}, and the day is {on}."
    origin = Source("stamp register", clause=welder.stamp)
    return Answer(False, SUSPENDED, (told,), origin, measured=str(on), limit=period)


def _suspended(welder: WelderFacts, one: QualificationFacts, on: date) -> Answer:
    since = f" since {one.status_on}" if one.status_on else ""
    told = f"WPQ {one.wpq} of {welder.stamp} is {one.status}{since}, and no other covers this weld."
    return Answer(False, SUSPENDED, (told,), source("QW-322.1(b)", "memory"), measured=one.status, limit="active")


def _lapsed(welder: WelderFacts, process: str, on: date) -> Answer:
    before = [span for span in spans_of(welder, process) if span.begins <= on]
    last = before[-1]
    told = f"{process} of {welder.stamp} lapsed on {last.ends}: last used {last.last} + 6 months, and the day is {on}."
    return Answer(False, LAPSED, (told,), CONTINUITY, measured=str(on), limit=str(last.ends))


def _not_qualified(welder: WelderFacts, need: Need, on: date) -> Answer:
    """Every reason of every test by the process; the first is that of the test which comes nearest."""
    process = base_process(need.process)
    tests = [one for one in welder.qualifications if base_process(one.process) == process]
    if not tests:
        told = f"{welder.stamp} has no {process} qualification."
        return Answer(False, NOT_QUALIFIED, (told,), source("QW-350"), measured="none", limit=process)
    letters = sorted(need.positions) or [""]
    short: list[tuple[int, QualificationFacts, tuple[Shortfall, ...]]] = []
    for one in tests:
        found = tuple(dict.fromkeys(gap for letter in letters for gap in shortfalls(one, need, letter)))
        short.append((len(found), one, found))
    short.sort(key=lambda entry: entry[0])
    reasons = tuple(_reason(one, found, on) for _, one, found in short)
    gaps = short[0][2]
    if not gaps:
        tested = str(short[0][1].tested_on)
        return Answer(False, NOT_QUALIFIED, reasons, source("QW-300", "memory"), measured=str(on), limit=tested)
    return Answer(
        False,
        NOT_QUALIFIED,
        reasons,
        gaps[0].source,
        measured="; ".join(f"{gap.variable} {gap.measured}" for gap in gaps),
        limit="; ".join(gap.limit for gap in gaps),
    )


def _reason(one: QualificationFacts, found: Sequence[Shortfall], on: date) -> str:
    if not found:
        when = (
            f"was tested on {one.tested_on}, after {on}"
            if one.tested_on > on
            else "covers only a part of the positions"
        )
        return f"WPQ {one.wpq} {when}."
    return f"WPQ {one.wpq}: {'; '.join(str(gap) for gap in found)}."
