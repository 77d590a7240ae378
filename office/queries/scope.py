"""What a paper or a package speaks of: a whole job, one line or one spool."""

from dataclasses import dataclass
from typing import Literal
from uuid import UUID

from django.db.models import Q, QuerySet

from records.models import Job, Joint, Line, Spool
from records.refusals import Fault, Implausible

Kind = Literal["job", "line", "spool"]
KINDS: tuple[Kind, ...] = ("job", "line", "spool")


@dataclass(frozen=True, slots=True)
class Scope:
    """The joints of a job, of one of its lines or of one of its spools."""

    job: Job
    line: Line | None = None
    spool: Spool | None = None

    @property
    def kind(self) -> Kind:
        """Job, line or spool."""
        return "spool" if self.spool else "line" if self.line else "job"

    @property
    def id(self) -> UUID | None:
        """The id of the line or spool; None for the whole job."""
        one = self.spool or self.line
        return one.id if one else None

    @property
    def name(self) -> str:
        """The scope in the short form that a package stores: job, line NUMBER or spool MARK."""
        if self.spool:
            return f"spool {self.spool.mark}"
        return f"line {self.line.number}" if self.line else "job"

    @property
    def words(self) -> str:
        """The scope as a cover says it."""
        if self.spool:
            return f"spool {self.spool.mark} of line {self.spool.line.number}"
        return f"line {self.line.number}" if self.line else "whole job"

    def joints(self) -> QuerySet[Joint]:
        """Return the joints in the order of the weld map; a field joint belongs to the spools on both its sides."""
        joints = Joint.objects.filter(job=self.job)
        if self.spool:
            joints = joints.filter(Q(spool=self.spool) | Q(spool_b=self.spool))
        elif self.line:
            joints = joints.filter(line=self.line)
        return joints.order_by("sort_key", "id")

    def lines(self) -> QuerySet[Line]:
        """Return the lines that the scope touches, by number."""
        lines = Line.objects.filter(job=self.job).order_by("number")
        one = self.spool.line_id if self.spool else self.line.id if self.line else None
        return lines.filter(id=one) if one else lines


def scope_of(job: Job, kind: str = "job", which: str | UUID = "") -> Scope:
    """Return a scope of a job.

    which   the id, or the line's number or the spool's mark (LINE/MARK where several lines have that mark)
    Raises  Implausible for a line or spool that the job does not have, or a mark that is not clear
    """
    if kind == "job":
        return Scope(job)
    if kind == "line":
        return Scope(job, line=line_of(job, which))
    if kind == "spool":
        return Scope(job, spool=spool_of(job, which))
    raise Implausible(f"A package can't be of a {kind}.", [Fault("scope", "Unknown scope.", "job, line or spool")])


def line_of(job: Job, which: str | UUID) -> Line:
    """Find a line by id or number. Raises Implausible where the job has none."""
    line = Line.objects.filter(_by("number", which), job=job).first()
    if line is None:
        raise Implausible(f"Job {job.code} has no line {which}.", [Fault("scope", "Unknown line.")])
    return line


def spool_of(job: Job, which: str | UUID) -> Spool:
    """Find a spool by id, mark or LINE/MARK. Raises Implausible where the job has none, or several."""
    spools = Spool.objects.filter(job=job).select_related("line").order_by("line__number")
    found = list(spools.filter(_by("mark", which))[:3])
    if not found and isinstance(which, str) and "/" in which:
        line, _, mark = which.rpartition("/")
        found = list(spools.filter(line__number=line, mark=mark))
    if not found:
        raise Implausible(f"Job {job.code} has no spool {which}.", [Fault("scope", "Unknown spool.")])
    if len(found) > 1:
        names = " or ".join(f"{spool.line.number}/{spool.mark}" for spool in found)
        raise Implausible(
            f"Several lines have a spool {which}; name it {names}.", [Fault("scope", "Not clear.", names)]
        )
    return found[0]


def _by(name: str, which: str | UUID) -> Q:
    """A row is meant by its id or by the name that people write."""
    try:
        return Q(id=which if isinstance(which, UUID) else UUID(which))
    except ValueError:
        return Q(**{name: which})
