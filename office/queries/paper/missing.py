"""What is still missing of a scope before handover: joints, examinations, findings, certificates."""

from collections.abc import Iterable, Iterator

from django.db.models import Q, QuerySet

from office.queries.extents import below_code_of
from office.queries.paper.batches import in_chunks, joint_batches, narrow
from office.queries.paper.heats import FEW, joints_of_fillers, joints_of_heats, named
from office.queries.paper.title import About
from office.queries.paper.welding_papers import missing_papers
from office.queries.paper.words import joint_key
from records.models import FillerLot, Finding, Heat, Joint
from reports.data import MissingData, MissingItem

UNWELDED = ("planned", "fitted", "in progress")
# Findings that other groups of the list already tell.
TOLD_ELSEWHERE = ("examination-due", "examination-rejected", "release-missing", "certificate-missing")


def missing(about: About) -> MissingData:
    """Return what is missing, group by group; read as the paper is drawn, at most two queries for each 2,000 joints,
    and twelve for all.
    """
    return MissingData(about.title("What is missing", "what is missing"), missing_items(about))


def missing_items(about: About) -> Iterator[MissingItem]:
    """Yield each thing that is missing, the groups in the order in which the work is done."""
    scope = about.scope
    for joint in _joints(scope.joints().filter(state__in=UNWELDED)):
        yield MissingItem("Joints to fit and weld", joint_key(joint), f"{joint.state}, next: {joint.next_step}")
    for joint in _joints(scope.joints().filter(Q(state="rejected") | Q(state="welded", due=""))):
        yield MissingItem("Joints to decide on", joint_key(joint), f"{joint.state}, next: {joint.next_step}")
    for joint in _joints(scope.joints().exclude(due="").exclude(state="withdrawn")):
        yield MissingItem("Examinations due", joint_key(joint), joint.due)
    for joint in _joints(scope.joints().filter(state="accepted")):
        yield MissingItem("Releases", joint_key(joint), "accepted, not released")
    yield from _findings(about)
    yield from _plans(about)
    yield from missing_papers(about.scope)
    yield from _papers(about)


def _joints(joints: QuerySet[Joint]) -> Iterator[Joint]:
    return narrow(joints).iterator(chunk_size=2000)


def _findings(about: About) -> Iterator[MissingItem]:
    for batch in joint_batches(about.scope):
        keys = {joint.id: joint_key(joint) for joint in batch}
        rows = Finding.objects.filter(joint__in=keys, override__isnull=True, severity__in=("stop", "correct"))
        for finding in rows.exclude(code__in=TOLD_ELSEWHERE).order_by("joint__sort_key", "joint_id", "code", "id"):
            yield MissingItem("Open findings", keys[finding.joint_id], finding.message)


def _plans(about: About) -> Iterator[MissingItem]:
    """Lines whose exam plan asks less than the code does; six queries."""
    lines = list(about.scope.lines())
    below = below_code_of(about.job, lines)
    for line in lines:
        for told in below.get(line.id, ()):
            yield MissingItem("Exam plans below the code", line.number, told)


def _papers(about: About) -> Iterator[MissingItem]:
    """Certificates that nobody named, and those named whose file never came."""
    heats, lots = joints_of_heats(about.scope), joints_of_fillers(about.scope)
    for heat in _of(Heat, heats, certificate__isnull=True):
        yield MissingItem("Heats without a certificate", heat.number, f"{heat.material}, in {_in(heats[heat.id])}")
    for lot in _of(FillerLot, lots, certificate__isnull=True):
        yield MissingItem(
            "Filler lots without a certificate", lot.number, f"{lot.classification}, in {_in(lots[lot.id])}"
        )
    for model, used, what in ((Heat, heats, "heat"), (FillerLot, lots, "filler lot")):
        for one in _of(model, used, certificate__file=""):
            certificate = one.certificate.number
            yield MissingItem("Certificates without their file", certificate, f"{what} {one.number}")


def _of(model: type[Heat] | type[FillerLot], used: Iterable, **which: object) -> Iterator:
    for some in in_chunks(used, FEW):
        yield from model.objects.filter(id__in=some, **which).select_related("certificate").order_by("number")


def _in(joints: list) -> str:
    return named(joints).replace("\n", "; ")
