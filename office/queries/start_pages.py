"""What waits for whom: the start page of a job, one part a role."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, QuerySet

from inspection.queries.examination_queue import due_by_method
from inspection.queries.hold_points import Waiting as WaitingPoints
from inspection.queries.hold_points import waiting_points
from inspection.queries.open_findings import counts_by_code
from joints.queries.heats import CertificateCounts, certificate_counts
from joints.queries.lapsing import Lapsing, lapsing
from joints.queries.tally import Tally, tally
from joints.queries.weld_log import COUNTED, LogRow, Wanted, counted, first_rows, joints_wanted
from records import site_account
from records.journal import head_of
from records.models import Job, Joint, Membership, Package, Stamp, User, Work
from records.models.job import ROLES

FIRST = 8
LAPSE_DAYS = 30


@dataclass(frozen=True, slots=True)
class Waiting:
    """The first joints that wait for something, and how many there are; counted no further than COUNTED."""

    rows: tuple[LogRow, ...]
    count: int
    is_more: bool


@dataclass(frozen=True, slots=True)
class ForWelder:
    """A welder's own joints: those begun or fitted first, then those to fit up."""

    stamps: tuple[str, ...]
    to_weld: Waiting
    to_fit_up: Waiting


@dataclass(frozen=True, slots=True)
class ForForeman:
    """Joints without a welder, those that a stop holds which is more than an examination due, and what lapses soon."""

    to_assign: Waiting
    stopped: Waiting
    lapsing: tuple[Lapsing, ...]


@dataclass(frozen=True, slots=True)
class ForInspector:
    """Joints to examine, by method, rejects without a decision, and what is ready for release."""

    due: tuple[tuple[str, int], ...]
    to_examine: Waiting
    to_decide: Waiting
    to_release: Waiting


@dataclass(frozen=True, slots=True)
class ForEngineer:
    """Open findings by code, missing papers, and work that is still under way."""

    findings: tuple[tuple[str, str, int], ...]
    papers: CertificateCounts
    stale: int
    works: tuple[Work, ...]


@dataclass(frozen=True, slots=True)
class ForReader:
    """The latest packages, for whoever takes the line over."""

    packages: tuple[Package, ...]


@dataclass(frozen=True, slots=True)
class ForOwner:
    """The first joints with points that wait for the owner's inspector, and the latest packages."""

    points: WaitingPoints
    packages: tuple[Package, ...]


@dataclass(frozen=True, slots=True)
class ForAdministrator:
    """How many people hold each role, the site's own account left out, and the end of the journal."""

    people: tuple[tuple[str, int], ...]
    head: str
    last_sign_in: datetime | None


def of_job(job: Job) -> Tally:
    """How far the job has come; one query."""
    return tally(Joint.objects.filter(job=job))


def for_welder(job: Job, person: User) -> ForWelder:
    """Seven queries."""
    stamps = dict(Stamp.objects.filter(job=job, welder__user=person).order_by("code").values_list("id", "code"))
    mine = Joint.objects.filter(job=job, assigned_id__in=list(stamps))
    return ForWelder(
        stamps=tuple(stamps.values()),
        to_weld=_waiting(mine.filter(next_step="weld"), job.units),
        to_fit_up=_waiting(mine.filter(next_step="fit up"), job.units),
    )


def for_foreman(job: Job, person: User) -> ForForeman:
    """Seven queries, five more where something lapses."""
    return ForForeman(
        to_assign=_waiting(joints_wanted(job, Wanted(waits="assign")), job.units),
        stopped=_waiting(joints_wanted(job, Wanted(findings="held")), job.units),
        lapsing=lapsing(job, within_days=LAPSE_DAYS),
    )


def for_inspector(job: Job, person: User) -> ForInspector:
    """Ten queries."""
    due = joints_wanted(job, Wanted(waits="examine"))
    return ForInspector(
        due=due_by_method(job),
        to_examine=_waiting(due, job.units),
        to_decide=_waiting(joints_wanted(job, Wanted(waits="decide repair")), job.units),
        to_release=_waiting(joints_wanted(job, Wanted(waits="release")), job.units),
    )


def for_engineer(job: Job, person: User) -> ForEngineer:
    """Five queries."""
    works = Work.objects.filter(job=job).exclude(state="done").select_related("asked_by").order_by("-asked_at")
    return ForEngineer(
        findings=tuple(counts_by_code(job)),
        papers=certificate_counts(job),
        stale=Joint.objects.filter(job=job, is_stale=True).count(),
        works=tuple(works[:FIRST]),
    )


def for_reader(job: Job, person: User) -> ForReader:
    """One query."""
    return ForReader(tuple(Package.objects.filter(job=job).order_by("-recorded_at")[:FIRST]))


def for_owner(job: Job, person: User) -> ForOwner:
    """Three queries, fourteen more where something waits."""
    return ForOwner(waiting_points(job, most=FIRST), for_reader(job, person).packages)


def for_administrator(job: Job, person: User) -> ForAdministrator:
    """Three queries."""
    held = Membership.objects.filter(job=job, is_held=True).exclude(user__username=site_account.USERNAME)
    counts = dict(held.order_by().values_list("role").annotate(count=Count("id")))
    last = User.objects.filter(memberships__in=held).order_by("-last_login").exclude(last_login=None)
    return ForAdministrator(
        people=tuple((role, counts.get(role, 0)) for role in ROLES),
        head=head_of(job),
        last_sign_in=last.values_list("last_login", flat=True).first(),
    )


def _waiting(joints: QuerySet[Joint], units: str) -> Waiting:
    """Three queries: the first joints, their findings, the count."""
    count = counted(joints)
    return Waiting(first_rows(joints, FIRST, units), min(count, COUNTED), count > COUNTED)
