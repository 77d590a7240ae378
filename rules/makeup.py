"""A weld by its makeup: what follows from which passes it has, whoever made them and when, and whatever was read."""

from operator import attrgetter

from rules import pass_sequence, passes, persons, procedure
from rules.asked import Asked
from rules.case import Case
from rules.continuity import base_process
from rules.remember import Remembered

_PASS = attrgetter("attempt", "order", "role", "process", "position", "filler_classification")
_PROCEDURE = attrgetter("procedure")


class Makeup:
    """What welds that are made up alike have in common, on joints that ask alike.

    held          what is asked of each pass, ready to hold; None where nothing is
    tack          what the one who tacks must be able to, None where no procedure says
    needs         what each pass asks of its welder: beside others, and alone
    by_one        whether all passes are by one process
    is_covered    whether each pass has a procedure, and that covers the joint
    attempts      what is asked of the passes of each live attempt together
    """

    __slots__ = ("attempts", "by_one", "held", "is_covered", "needs", "procedures", "tack")

    def __init__(self, case: Case) -> None:
        # The key has these by their identity, so they are held as long as it is.
        self.procedures = tuple(map(_PROCEDURE, case.passes))
        self.held = tuple(passes.held(case, one) for one in case.passes)
        self.tack = persons.tack_need(case)
        self.needs = persons.needs(case, alone=False), persons.needs(case, alone=True)
        self.by_one = len({base_process(one.process) for one in case.passes}) < 2
        self.is_covered = not (procedure.missing(case) or procedure.not_applicable(case))
        self.attempts = pass_sequence.attempts(case)


_makeups: Remembered[Makeup] = Remembered()


def makeup_of(case: Case, alike: Asked) -> Makeup:
    """The makeup of a joint's weld, worked out once for all that are made up alike on joints that ask alike."""
    joint, job = case.joint, case.job
    a, b = joint.material_a, joint.material_b
    key = (
        joint.position, a and a.p_number, b and b.p_number, job.welders_edition, case.base_welded, case.live,
        *map(_PASS, case.passes), *map(id, map(_PROCEDURE, case.passes)),
    )  # fmt: skip
    return _makeups.get(alike, key, Makeup, case)
