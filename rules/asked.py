"""What joints that are alike ask of their records, worked out once for all of them."""

from functools import cached_property

from rules import examination, fit_up, passes
from rules.compare import Held, ready
from rules.facts import HeatFacts, JobFacts, JointFacts
from rules.finding import Requirement
from rules.remember import Remembered
from rules.specification import owners_of

_NO_PROCEDURE = object()


class Asked:
    """What one joint asks, and all that are like it, each part worked out when it is first needed.

    owners    the owner's limits on them
    """

    def __init__(self, joint: JointFacts, job: JobFacts) -> None:
        # The key has the job's specification by its identity, so it is held as long as the key is.
        self._joint, self._job, self.owners = joint, job, owners_of(joint, job)

    @cached_property
    def of_fit_up(self) -> Held:
        """The limits on a fit-up, ready to hold."""
        return ready(fit_up.requirements(self._joint, self._job))

    @cached_property
    def of_passes(self) -> tuple[Requirement, ...]:
        """What is asked of the passes."""
        joint, job = self._joint, self._job
        return tuple(passes.requirements(joint.procedure, job.units, job.recording, self.owners))

    @cached_property
    def of_examinations(self) -> tuple[Requirement, ...]:
        """The limits on what an examination measures."""
        return tuple(examination.requirements(self._joint, self._job))

    @cached_property
    def of_weld(self) -> Held:
        """Those on what is measured of the weld itself, ready to hold."""
        return ready(one for one in self.of_examinations if one.id != examination.ON_FILM)

    @cached_property
    def of_film(self) -> Held:
        """Those on what is read on a film, ready to hold."""
        return ready(one for one in self.of_examinations if one.id == examination.ON_FILM)


_asked: Remembered[Asked] = Remembered()
_heats: Remembered[Requirement] = Remembered()


def asked_of(joint: JointFacts, job: JobFacts) -> Asked:
    """What a joint asks, apart from its heats and its drawing's revision.

    Alike are joints of one procedure that agree in all that is planned of them, on jobs of the same settings and of
    one specification.
    """
    key = (
        joint.kind, joint.nps, joint.schedule, joint.od_mm, joint.wall_mm, joint.socket_class, joint.in_flange,
        joint.service, joint.severe_cyclic, job.units, job.construction_code, job.edition, job.recording,
        id(job.specification),
    )  # fmt: skip
    return _asked.get(joint.procedure or _NO_PROCEDURE, key, Asked, joint, job)


def of_heat(side: str, heat: HeatFacts) -> Requirement:
    """What the heat of one side asks of the fit-up."""
    return _heats.get(heat, side, fit_up.heat_read, side, heat)
