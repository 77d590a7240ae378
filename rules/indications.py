"""What an examiner writes of a weld, read where it is written plainly, and held against the acceptance table."""

import re
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache

from rules.acceptance import letter, service_of, source_of, table_source, weld_of
from rules.case import Case, found
from rules.examination import judged_wall
from rules.facts import ExaminationFacts, JobFacts, JointFacts
from rules.finding import Finding
from rules.imperfections import CHARTS, NO_SIZE, Judgement, judge
from rules.source import Source
from rules.specification import REPLACED, Bound, figure_of, governing, owners_of
from rules.specification import source_of as owners_source
from rules.surface_indications import METHODS as SURFACE_METHODS
from rules.surface_indications import judged_surface
from rules.tables import table
from rules.units import UnitError, parse_clock, parse_length

LABELS = {
    "crack": "Crack",
    "lack-of-fusion": "Lack of fusion",
    "incomplete-penetration": "Incomplete penetration",
    "porosity": "Porosity",
    "linear": "Slag, tungsten or other elongated indication",
    "undercut": "Undercut",
    "surface-porosity": "Surface porosity or exposed slag",
    "finish": "Surface finish",
    "concave-root": "Concave root or burn-through",
    "reinforcement": "Reinforcement or protrusion",
}
# How the trade writes each; the longer words come before those that they begin with.
_WORDS = {
    "cracks": "crack",
    "crack": "crack",
    "lack of fusion": "lack-of-fusion",
    "incomplete fusion": "lack-of-fusion",
    "incomplete penetration": "incomplete-penetration",
    "lack of penetration": "incomplete-penetration",
    "surface porosity": "surface-porosity",
    "surface pore": "surface-porosity",
    "exposed slag": "surface-porosity",
    "porosity": "porosity",
    "pores": "porosity",
    "pore": "porosity",
    "rounded indication": "porosity",
    "elongated indication": "linear",
    "linear indication": "linear",
    "slag inclusion": "linear",
    "slag": "linear",
    "tungsten inclusion": "linear",
    "tungsten": "linear",
    "undercut": "undercut",
    "concave root": "concave-root",
    "root concavity": "concave-root",
    "internal concavity": "concave-root",
    "suck-back": "concave-root",
    "suck back": "concave-root",
    "burn-through": "concave-root",
    "reinforcement": "reinforcement",
    "protrusion": "reinforcement",
}
_SAID = {kind: next(word for word, named in _WORDS.items() if named == kind) for kind in _WORDS.values()} | {
    "crack": "crack",
    "porosity": "porosity",
    "linear": "slag",
}
# What an eye, a penetrant or magnetic particles show of these stands at the surface.
_AT_SURFACE = ("VT", *SURFACE_METHODS)
_BY_EYE = {"porosity": "surface-porosity"}
# That nothing is wrong: "porosity: none", "undercut and slag none seen", "crack-free", "reinforcement within limits".
# No figure and no other word stands in it, so that "not acceptable" or "undercut, no cracks" is none of these.
_NAMED = rf"(?:{'|'.join(_WORDS)})s?"
_FINE = (
    rf"(?:{_NAMED}(?:\s*(?:,|/|and|or)\s*{_NAMED})*[\s:,=-]*(?:(?:is|are|was|were|all)\s+)*(?:none|nil|acceptable|within|ok)"
    rf"|{_NAMED}[\s:,=-]*(?:no|free))"
    r"(?:\s+(?:seen|found|visible|noted|the|code|limits?|tolerance|by|to|per|of|B31\.\d))*"
)
_NOTHING_WRONG = re.compile(rf"{_FINE}(?:\s*(?:,|and)\s*{_FINE})*", re.IGNORECASE)
_SIDES = {"long": "length", "wide": "width", "deep": "depth", "high": "depth", "thick": "depth"}
_KIND = re.compile("|".join(_WORDS), re.IGNORECASE)
# "pores 3", "cracks 2": how many there are, as likely as how large.
_COUNTED = re.compile(r"(?:pores|cracks)[ ,:]+\d+(?![\d./]|\s*(?:mm|cm|in|[\"/]|\d|long|wide|deep))", re.IGNORECASE)
_PLACE = re.compile(r"(?:at|from)\s+(?P<place>\d{1,2}(?::\d\d|\.\d+)?)(?:\s*o'?clock)?", re.IGNORECASE)
_UNTIL = re.compile(r"to\s+(?P<until>\d{1,2}(?::\d\d|\.\d+)?)(?:\s*o'?clock)?", re.IGNORECASE)
_SIZE = re.compile(
    r"(?P<size>[0-9][0-9./ -]*(?:\s*(?:mm|cm|inches|inch|in\b|\"))?)\s*(?P<side>long|wide|deep|high|thick)?\b",
    re.IGNORECASE,
)
# "0.5 mm x 12 mm", "1/16 x 3/4 in": the greater is the length; the other of an undercut its depth, of slag its width.
# Possessive: a number is never read in part.
_SIDE = r"[0-9][0-9./ -]*+"
_UNIT = r"mm|cm|inches|inch|in\b|\""
_PAIR = re.compile(
    rf"(?P<one>{_SIDE})(?P<unit>{_UNIT})?\s*[x×]\s*(?P<other>{_SIDE})(?P<last>{_UNIT})?+(?!\s*(?:x|×|long|wide|deep|high|thick))",
    re.IGNORECASE,
)
_ACROSS = {"undercut": "depth", "linear": "width"}


@dataclass(frozen=True, slots=True)
class Indication:
    """One imperfection as written; what is not written is None.

    degrees   its place on the dial, clockwise from 12, of its beginning
    depth_mm  depth or height, or the size of a pore; of a concave root the total thickness
    """

    text: str
    kind: str
    degrees: Decimal | None = None
    depth_mm: Decimal | None = None
    length_mm: Decimal | None = None
    width_mm: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Reading:
    """What could be read of a text, and the parts that stay words and are not judged."""

    indications: tuple[Indication, ...]
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Limit:
    """What the acceptance table says of one imperfection in this weld, as a person reads it."""

    kind: str
    label: str
    word: str  # how an examiner begins to write it
    steps: tuple[str, ...]
    source: Source


@lru_cache(maxsize=4096)
def read(text: str, units: str, method: str = "") -> Reading:
    """Read indications: parts divided by semicolons or new lines, each `undercut 1/32 in at 6, 1 in long`.

    A part is judged only if all of it is understood: an imperfection's name, then places (`at 4:30`, `from 4 to 5`)
    and sizes (`1 mm`, `6 mm long`, `1 mm wide`, `1/32 in deep`), in any order; a size without `long`, `wide` or `deep`
    is a depth, of an elongated indication its length. Of an undercut or slag `0.5 mm x 12 mm` is read too;
    `2 x 6 mm` may be two of them and stays words. What is seen
    by VT, PT or MT as porosity is at the surface. Of a concave root only the thickness left is taken (`5 mm
    thick`). Anything else stays words: `no cracks` is not a crack, and `pores 3` may count them.
    """
    read_here: list[Indication] = []
    words: list[str] = []
    for part in re.split(r"[;\n]+", text):
        plain = " ".join(part.split()).strip(" .,")
        if not plain:
            continue
        one = _indication(plain, units)
        if one:
            read_here.append(replace(one, kind=_BY_EYE.get(one.kind, one.kind)) if method in _AT_SURFACE else one)
        else:
            words.append(plain)
    return Reading(tuple(read_here), tuple(words))


def _indication(plain: str, units: str) -> Indication | None:
    named = _KIND.match(plain)
    if not named or (named.end() < len(plain) and plain[named.end()].isalpha()) or _COUNTED.match(plain):
        return None
    kind = _WORDS[named[0].lower()]
    told: dict[str, Decimal] = {}
    rest = plain[named.end() :].strip(" ,:")
    while rest:
        taken = _take(rest, kind, units, told)
        if not taken:
            return None
        rest = rest[taken:].strip(" ,")
    sizes = {f"{side}_mm": told[side] for side in ("depth", "length", "width") if side in told}
    return Indication(plain, kind, told.get("degrees"), **sizes)


def _take(rest: str, kind: str, units: str, told: dict[str, Decimal]) -> int:
    """Take one place or size off the front of the text: the number of characters taken, 0 if it is not understood."""
    try:
        if place := _PLACE.match(rest):
            told.setdefault("degrees", parse_clock(place["place"]))
            return place.end()
        if until := _UNTIL.match(rest):
            parse_clock(until["until"])
            return until.end() if "degrees" in told else 0
        if (pair := _PAIR.match(rest)) and kind in _ACROSS and not told.keys() & {"length", _ACROSS[kind]}:
            if _may_count(pair):
                return 0
            unit = pair["unit"] or pair["last"] or ""
            sides = (parse_length(f"{side} {one or unit}".strip(), units) for side, one in _sides(pair))
            told[_ACROSS[kind]], told["length"] = sorted(sides)
            return pair.end()
        if size := _SIZE.match(rest):
            bare = "length" if kind == "linear" else "depth"
            said = (size["side"] or "").lower()
            side = _SIDES[said] if said else bare
            # The criterion of a concave root is the thickness that is left; how deep or long it is says nothing of it.
            if side in told or (kind == "concave-root" and said != "thick"):
                return 0
            told[side] = parse_length(size["size"].strip(), units)
            return size.end()
    except UnitError:
        return 0
    return 0


def _may_count(pair: re.Match[str]) -> bool:
    """Whether a pair may say how many of which length, as "2 x 6 mm": whole numbers, the first without a unit."""
    return not pair["unit"] and pair["one"].strip().isdigit() and pair["other"].strip().isdigit()


def _sides(pair: re.Match[str]) -> tuple[tuple[str, str], tuple[str, str]]:
    """Both sizes of a pair with the unit that each has."""
    return (pair["one"].strip(), pair["unit"] or ""), (pair["other"].strip(), pair["last"] or "")


def judged_indication(one: Indication, joint: JointFacts, job: JobFacts) -> Judgement:
    """Hold one indication against the table: by the job's units, the joint's service and kind, and its wall."""
    service, weld = service_of(joint.service, joint.severe_cyclic), weld_of(joint.kind)
    symbol = letter(service, weld, one.kind)
    if symbol == "A" and one.depth_mm is None and one.length_mm is None:
        # A criterion of zero needs no measure: what is there is too much.
        named = judge(symbol, one.kind, judged_wall(joint, job.units), job.units)
        return replace(named, accepted=False, undecided="") if named.limit_mm == 0 else named
    length = one.length_mm
    measured = one.depth_mm if one.depth_mm is not None else length if symbol == "A" else None
    return judge(
        symbol,
        one.kind,
        judged_wall(joint, job.units),
        job.units,
        measured=measured,
        length=length,
        width=one.width_mm,
    )


# What the owner can limit, by imperfection: the limit's name, and which size of the indication it speaks of.
OWNED = {
    "undercut": ("undercut max", "depth_mm"),
    "porosity": ("porosity max", "depth_mm"),
    "surface-porosity": ("surface porosity max", "depth_mm"),
    "linear": ("slag max", "length_mm"),
    "reinforcement": ("reinforcement max", "depth_mm"),
}


def code_limit(kind: str, joint: JointFacts, job: JobFacts) -> Bound | None:
    """The table's limit in mm on an imperfection of this weld, None where it sets none."""
    if not _is_b31_3(job):
        return None
    service, weld = service_of(joint.service, joint.severe_cyclic), weld_of(joint.kind)
    symbol, wall = letter(service, weld, kind), judged_wall(joint, job.units)
    held = judge(symbol, kind, wall, job.units)
    source = source_of(service, weld, kind, wall, job.units, job.edition)
    return None if held.limit_mm is None else Bound(held.limit_mm, source, (*held.steps, *held.notes))


def held_indication(one: Indication, joint: JointFacts, job: JobFacts, method: str = "") -> tuple[Judgement, Source]:
    """An indication held against the table and the owner's limit, and the source of what decides.

    method    of PT and MT their own acceptance counts, but for a crack
    """
    service, weld = service_of(joint.service, joint.severe_cyclic), weld_of(joint.kind)
    by_table = judged_indication(one, joint, job) if _is_b31_3(job) else _of_another(job)
    source = source_of(service, weld, one.kind, judged_wall(joint, job.units), job.units, job.edition)
    if method in SURFACE_METHODS and _is_b31_3(job):
        sizes = [size for size in (one.length_mm, one.depth_mm, one.width_mm) if size is not None]
        at_surface = judged_surface(one.kind, max(sizes, default=None), method, job.units)
        if at_surface is None and one.kind != "crack":
            return Judgement(None, None, (), undecided=f"{method} has no limit of this: VT decides."), source
        by_table, source = at_surface or (by_table, source)
    name, size = OWNED.get(one.kind, ("", ""))
    value, owners = getattr(one, size, None), owners_of(joint, job)
    bound = governing(owners, name, code_limit(one.kind, joint, job), job.units) if name in owners.limits else None
    if bound is None or value is None or bound.source.state != "owner":
        return by_table, source
    if value <= bound.value and by_table.accepted is False:
        # What the owner replaces is one size; the table still speaks of the other.
        by_rest = judged_indication(replace(one, length_mm=None), joint, job) if one.width_mm is not None else None
        if owners.limits[name].mode != REPLACED or (one.kind == "linear" and by_rest and by_rest.accepted is False):
            return by_table, source
    steps = bound.steps or (f"owner: {figure_of(bound, name, job.units)}",)
    if value > bound.value:
        return Judgement(bound.value, False, steps, by_table.notes), bound.source
    # Number and spacing of pores are not known here: one within its size accepts nothing.
    is_open = one.kind == "porosity"
    held = Judgement(bound.value, None if is_open else True, steps, by_table.notes, CHARTS if is_open else "")
    return held, bound.source


def _of_another(job: JobFacts) -> Judgement:
    code = job.construction_code or "this job's code"
    told = f"No acceptance table of {code} is here: the examiner decides by the contract's own copy."
    return Judgement(None, None, (), undecided=told)


def left_open(text: str, joint: JointFacts, job: JobFacts, method: str = "") -> tuple[str, ...]:
    """What an examiner wrote that no limit here decides: a sentence for each, with the reason and who decides.

    What is written of nothing that the table names, as "no cracks", or says that nothing is wrong, as "porosity: none",
    is left out.
    """
    reading = read(text, job.units, method)
    held = [(one.text, held_indication(one, joint, job, method)[0]) for one in reading.indications]
    named = [part for part in reading.words if _KIND.match(part) and not _NOTHING_WRONG.fullmatch(part)]
    return (
        *(f"{told}: not decided here. {verdict.undecided}" for told, verdict in held if verdict.accepted is None),
        *(f"{part}: not decided here. It was not read as one imperfection with its size." for part in named),
    )


def limits(joint: JointFacts, job: JobFacts, method: str) -> list[Limit]:
    """What the table says of each imperfection that this method (VT or RT) looks for; empty for other codes."""
    column = {"VT": "visual", "RT": "radiography"}.get(method)
    if column is None or not _is_b31_3(job):
        return []
    service, weld = service_of(joint.service, joint.severe_cyclic), weld_of(joint.kind)
    source, wall = table_source(service, job.edition, weld), judged_wall(joint, job.units)
    told = []
    for row in table("acceptance_methods_b31_3").rows:
        symbol = letter(service, weld, row["kind"]) if row[column] else ""
        if symbol:
            held = judge(symbol, row["kind"], wall, job.units)
            left = () if held.undecided in ("", NO_SIZE) else (held.undecided,)
            steps = (*held.steps, *held.notes, *left, *_owners_word(row["kind"], joint, job))
            words = (_SAID.get(row["kind"], ""), steps, source)
            told.append(Limit(row["kind"], LABELS[row["kind"]], *words))
    return told


def _owners_word(kind: str, joint: JointFacts, job: JobFacts) -> tuple[str, ...]:
    """What the owner sets beside the table."""
    name = OWNED.get(kind, ("", ""))[0]
    row = owners_of(joint, job).limits.get(name)
    if row is None:
        return ()
    bound = Bound(row.value, owners_source(row))
    return (f"at most {figure_of(bound, name, job.units)} ({bound.source}, {row.mode})",)


def findings(case: Case) -> list[Finding]:
    """Where the examiner's verdict and the table's differ: a note, as the examiner's is the one that counts."""
    said = [one for one in case.examinations if one.indications]
    if not said or (not case.owners and not _is_b31_3(case.job)):
        return []
    return [note for one in said for note in _differing(case, one)]


def _differing(case: Case, one: ExaminationFacts) -> list[Finding]:
    reading = read(one.indications, case.job.units, one.method)
    held = [(seen, *held_indication(seen, case.joint, case.job, one.method)) for seen in reading.indications]
    over = [(seen, verdict, source) for seen, verdict, source in held if verdict.accepted is False]
    if one.result == "accepted" and over:
        return [_note(case, one, seen.text, verdict, source, "is over") for seen, verdict, source in over]
    within = bool(held) and not reading.words and all(verdict.accepted for _, verdict, _ in held)
    if one.result == "rejected" and within:
        _, verdict, source = held[0]
        return [_note(case, one, one.indications, verdict, source, "lies within")]
    return []


def _note(case: Case, one: ExaminationFacts, seen: str, verdict: Judgement, source: Source, where: str) -> Finding:
    how = f"{where} the {'owner' if source.state == 'owner' else 'table'}'s limit"
    told = (
        f"{one.method} of {one.done_on} by {one.by} {one.result} the weld, and {seen} {how} ({source}); "
        "the examiner's verdict counts."
    )
    return found(
        case,
        "verdict-differs",
        told,
        source,
        attempt=one.attempt,
        record=one.id,
        measured=seen[:80],
        limit=verdict.steps[0] if verdict.steps else "",
        subject=one.method,
        steps=(*verdict.steps, *verdict.notes),
    )


def _is_b31_3(job: JobFacts) -> bool:
    return job.construction_code.upper().removeprefix("ASME").strip() == "B31.3"
