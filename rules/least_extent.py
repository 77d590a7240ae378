"""Whether an exam plan examines at least what the code asks of a line's welds, by its service."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from rules.acceptance import BRANCH_KINDS
from rules.facts import ExamRuleFacts
from rules.procedure import bare_p
from rules.source import Source
from rules.state import is_final
from rules.tables import basis, table
from rules.units import plain

_WHOLE, _TENTH = Decimal(100), Decimal("0.1")
_VOLUME, _SURFACE, _EYE = ("RT", "UT"), ("PT", "MT"), ("VT",)
_SOCKETS = frozenset({"socket", "slip-on"})
_SEVERE, _ELEVATED = "Severe cyclic", "Elevated temperature"


@dataclass(frozen=True, slots=True)
class Welds:
    """Welds of a line that are alike: their kind, how many, the P-Numbers of both sides, and what the plan asks."""

    kind: str
    count: int
    p_numbers: frozenset[str]
    rules: Sequence[ExamRuleFacts]


@dataclass(frozen=True, slots=True)
class Least:
    """A least share of the code, what it is of and by, and which welds it counts."""

    what: str
    methods: tuple[str, ...]
    percent: Decimal
    welds: tuple[Welds, ...]


def below_code(service: str, severe_cyclic: bool, elevated: bool, welds: Sequence[Welds]) -> tuple[str, ...]:
    """A sentence for each share of a plan that is less than the code's least; none where it is enough.

    The share of a plan over welds of several kinds and sizes is that of all of them together: the code's is of a line's
    welds at random. RT and UT stand for each other, PT and MT likewise; stages before the final one do not count.
    Source    ASME B31.3 341.4, M341.4, K341.4
    """
    wanted = (service, *([_SEVERE] if severe_cyclic else []), *([_ELEVATED] if elevated else []))
    rows = [row for row in table("examination_extent_b31_3").rows if row["service"] in wanted]
    told: dict[tuple[str, tuple[str, ...]], tuple[Decimal, str]] = {}
    for row in rows:
        for least in _leasts(row, welds):
            asked = _asked(least)
            before = told.get((least.what, least.methods), (Decimal(0), ""))[0]
            if asked < least.percent and least.percent > before:
                told[least.what, least.methods] = (least.percent, _sentence(least, asked, row))
    return tuple(sentence for _, sentence in told.values())


def _leasts(row: Mapping[str, str], welds: Sequence[Welds]) -> Iterator[Least]:
    """What a row of the table asks of these welds."""
    butts, sockets, branches = (
        tuple(one for one in welds if one.kind in kinds) for kinds in ({"butt"}, _SOCKETS, BRANCH_KINDS)
    )
    if row["vt"]:
        yield Least("the welds", _EYE, Decimal(row["vt"]), tuple(welds))
    yield Least("butt welds", _VOLUME, Decimal(row["rt_girth"]), butts)
    yield Least("socket welds", _SURFACE, Decimal(row["surface_socket"]), _of_p(row, sockets))
    if row["surface_branch"] != "0":
        # A branch weld that is radiographed needs no examination of its surface.
        either = (*_VOLUME, *_SURFACE)
        yield Least("branch welds", either, Decimal(row["surface_branch"]), _of_p(row, branches))
    else:
        yield Least("branch welds", _VOLUME, Decimal(row["rt_branch"]), branches)


def _of_p(row: Mapping[str, str], welds: Iterable[Welds]) -> tuple[Welds, ...]:
    """The welds of the P-Numbers that a row speaks of; of an unknown base metal nothing is said."""
    only = {bare_p(one) for one in row["only_p"].split()}
    return tuple(one for one in welds if not only or one.p_numbers & only)


def _asked(least: Least) -> Decimal:
    """The share of these welds that the plan examines by these methods, in percent."""
    total = sum(one.count for one in least.welds)
    if not total:
        return _WHOLE
    return sum((_share(one, least.methods) * one.count for one in least.welds), Decimal(0)) / total


def _share(welds: Welds, methods: tuple[str, ...]) -> Decimal:
    shares = [one.share_percent for one in welds.rules if one.method in methods and is_final(one.stage)]
    return max(shares, default=Decimal(0))


def _sentence(least: Least, asked: Decimal, row: Mapping[str, str]) -> str:
    source = Source("ASME B31.3", "2012", row["clause"], row["state"], tables=(basis("examination_extent_b31_3", row),))
    shown = plain(asked.quantize(_TENTH)) if asked >= _TENTH or not asked else "less than 0.1"
    methods = " or ".join(least.methods)
    told = f"{methods}: the plan asks {shown} % of {least.what}, and the code's least is {plain(least.percent)} %"
    return f"{told} ({source})."
