"""The deposit of a groove weld shared among welders and processes: whether their tests add up to the wall."""

from collections.abc import Iterator
from decimal import Decimal

from rules.acceptance import FILLET_KINDS
from rules.case import Case, found
from rules.continuity import base_process
from rules.facts import People, WelderFacts
from rules.finding import Finding
from rules.limits import listed
from rules.ranges import SLACK_MM, is_groove, most_deposit
from rules.remember import Remembered
from rules.source import Source
from rules.units import figure, show_length, unit_shown

# What a requirement says of a weld of which each welder, or each process, makes a part.
NOT_RECORDED = (
    "no pass records its thickness: the part of each process is not judged by itself; "
    "once the weld is made, the tests of all who made it are held together against the wall"
)
Share = tuple[str, str]
Most = tuple[Decimal, str, Source]
_mosts: Remembered[Most | None] = Remembered()


def findings(case: Case, people: People) -> Iterator[Finding]:
    """The finding on a weld whose wall is more than the tests of all who made it allow together.

    How much each deposited is not recorded, so no single share is judged; with an unlimited test, or one that is not
    known, nothing is.
    Source    ASME BPVC Section IX QW-452.1(b): each welder's and each process's deposit by itself
    """
    if case.joint.kind in FILLET_KINDS:
        return
    shares = list(dict.fromkeys((one.stamp, base_process(one.process)) for one in case.passes))
    if len(shares) < 2 or not _is_whole(case):
        return
    limits = [_most(share, people, case.job.units) for share in shares]
    known = [one for one in limits if one is not None]
    if len(known) < len(limits):
        return
    total, units = sum((most for most, _, _ in known), Decimal(0)), case.job.units
    wall, last = case.joint.wall_mm, case.passes[-1]
    if wall <= total + SLACK_MM:
        return
    together, limit = show_length(wall, units), show_length(total, units)
    whose = listed([f"{stamp} by {process}" for stamp, process in shares])
    told = f"The tests of {whose} allow {limit} of deposit together, and the wall is {together}."
    steps = tuple(f"{stamp} by {process}: {step}" for (stamp, process), (_, step, _) in zip(shares, known, strict=True))
    yield found(
        case, "welder-not-qualified", told, known[0][2], attempt=last.attempt, record=last.id,
        measured=figure(wall, "mm", units), limit=figure(total, "mm", units), unit=unit_shown("mm", units),
        subject=last.stamp, steps=(*steps, f"together {limit}, wall {together}"),
    )  # fmt: skip


def _is_whole(case: Case) -> bool:
    """Whether the passes tell the weld from root to cap."""
    told = case.base_welded and case.job.recording != "joint"
    return told and {"root", "cap"} <= {one.role for one in case.passes}


def _most(share: Share, people: People, units: str) -> Most | None:
    """The greatest deposit that a test of the welder by the process allows; None: unlimited, or no such test known."""
    stamp, process = share
    welder = people.welders.get(stamp)
    return _mosts.get(welder, (process, units), _most_of, welder, process, units) if welder else None


def _most_of(welder: WelderFacts, process: str, units: str) -> Most | None:
    tests = [one for one in welder.qualifications if base_process(one.process) == process]
    limits = [most_deposit(one, units) for one in tests if is_groove(one)]
    if not limits or any(most is None for most, _, _ in limits):
        return None
    known = [(most, step, source) for most, step, source in limits if most is not None]
    return max(known, key=lambda one: one[0])
