"""The heats of a job: what each is, whether its certificate is there, and how many joints use it."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from uuid import UUID

from django.db.models import Count, Q, QuerySet

from joints.queries.pieces import PieceRow, first_pieces
from joints.queries.tally import Tally, tally_by_line
from joints.queries.weld_log import LogRow, first_rows
from records.heats_read import read_off
from records.models import Certificate, FillerLot, Heat, Job, Joint, Line, Piece, Spool
from records.paging import Page, cut_by_id

PAGE = 50
MOST = 50
KEYS = ("number", "id")
COLUMNS = (
    *KEYS, "material", "manufacturer", "item", "size", "certificate_id", "certificate__number", "certificate__file",
)  # fmt: skip
NAMELESS, WITHOUT_FILE, COMPLETE = "no certificate named", "file missing", "on file"


@dataclass(frozen=True, slots=True)
class HeatShown:
    """One heat; `state` says how its certificate stands, `joints` how many joints have it on either side."""

    id: UUID
    number: str
    material: str
    manufacturer: str
    item: str
    size: str
    certificate_id: UUID | None
    certificate: str
    state: str
    joints: int


@dataclass(frozen=True, slots=True)
class CertificateCounts:
    """What is missing of the papers of the metal."""

    heats_without: int
    heats_without_file: int
    files_missing: int


def heats_page(
    job: Job, *, search: str = "", missing: bool = False, after: UUID | None = None, before: UUID | None = None
) -> Page[HeatShown]:
    """Return one page of heats by number; four queries, one more to page from a heat.

    missing  only heats whose certificate is not named or has no file
    """
    heats = Heat.objects.filter(job=job)
    page = cut_by_id(
        heats_wanted(job, search, missing).values_list(*COLUMNS), KEYS, heats, after=after, before=before, most=PAGE
    )
    joints = joints_by_heat(job.id, {row[0]: row[1] for row in page.rows})
    rows = tuple(
        HeatShown(key, number, material, maker, item, size, paper, name or "", state_of(paper, file), joints[key])
        for number, key, material, maker, item, size, paper, name, file in page.rows
    )
    return Page(rows, *page.ends([one.id for one in rows]))


def joints_by_heat(job: UUID, heats: Mapping[str, UUID]) -> Counter[UUID]:
    """Count the joints that have each heat on one side or on both, planned or read at fit-up; three queries.

    heats   of the job, by number
    """
    found: Counter[UUID] = Counter()
    for side, other in (("heat_a_id", "heat_b_id"), ("heat_b_id", "heat_a_id")):
        rows = Joint.objects.filter(**{f"{side}__in": heats.values()}).exclude(state="withdrawn").order_by()
        for heat, its_other, count in rows.values_list(side, other).annotate(count=Count("id")):
            # A joint with the same heat on both sides is met twice and counts once.
            if not (side == "heat_b_id" and heat == its_other):
                found[heat] += count
    for heat, read in read_off(job, heats).items():
        found[heat] += len(read)
    return found


def certificate_counts(job: Job) -> CertificateCounts:
    """Count what is missing of the papers of the metal; two queries."""
    of_heats = Heat.objects.filter(job=job).aggregate(
        without=Count("id", filter=Q(certificate__isnull=True)),
        without_file=Count("id", filter=Q(certificate__file="")),
    )
    files = Certificate.objects.filter(job=job, file="").count()
    return CertificateCounts(of_heats["without"], of_heats["without_file"], files)


@dataclass(frozen=True, slots=True)
class CertificateShown:
    """A certificate with everything that stands on it, and the numbers of others with the very same file."""

    certificate: Certificate
    heats: tuple[HeatShown, ...]
    lots: tuple[FillerLot, ...]
    same_file: tuple[Certificate, ...] = ()


def with_same_file(certificate: Certificate) -> tuple[Certificate, ...]:
    """Return the job's other certificates to which the very same file is attached; one query where there is a file."""
    if not certificate.sha256:
        return ()
    same = Certificate.objects.filter(job=certificate.job_id, sha256=certificate.sha256)
    return tuple(same.exclude(id=certificate.id).order_by("number"))


def certificate_shown(certificate: Certificate) -> CertificateShown:
    """Return the heats and filler lots that a certificate covers; six queries."""
    found = list(Heat.objects.filter(certificate=certificate).order_by(*KEYS).values_list(*COLUMNS))
    joints = joints_by_heat(certificate.job_id, {row[0]: row[1] for row in found})
    heats = tuple(
        HeatShown(key, number, material, maker, item, size, paper, name, state_of(paper, file), joints[key])
        for number, key, material, maker, item, size, paper, name, file in found
    )
    lots = tuple(FillerLot.objects.filter(certificate=certificate).order_by("number"))
    return CertificateShown(certificate, heats, lots, with_same_file(certificate))


@dataclass(frozen=True, slots=True)
class SpoolWithHeat:
    """A spool that holds a heat, with its line and how far it is."""

    id: UUID
    mark: str
    line_id: UUID
    line: str
    state: str


@dataclass(frozen=True, slots=True)
class HeatPlaces:
    """Where a heat is: its pieces, joints, spools and lines; of each the first MOST."""

    heat: Heat
    pieces: tuple[PieceRow, ...]
    joints: tuple[LogRow, ...]
    joints_count: int
    spools: tuple[SpoolWithHeat, ...]
    lines: tuple[tuple[UUID, str, Tally], ...]


def heat_places(job: Job, heat: Heat) -> HeatPlaces:
    """Return where a heat is; nine queries, however many joints have it."""
    has_it = Q(heat_a=heat) | Q(heat_b=heat) | Q(id__in=read_off(job.id, {heat.number: heat.id})[heat.id])
    joints = Joint.objects.filter(has_it, job=job).exclude(state="withdrawn")
    of_joints = Q(id__in=joints.order_by().values("spool")) | Q(id__in=joints.order_by().values("spool_b"))
    spools = Spool.objects.filter(of_joints, job=job).order_by("sort_key", "id")
    found = Line.objects.filter(job=job, id__in=joints.order_by().values("line")).order_by("number")
    lines = list(found.values_list("id", "number")[:MOST])
    tallies = tally_by_line([key for key, _ in lines], joints)
    return HeatPlaces(
        heat=heat,
        pieces=first_pieces(Piece.objects.filter(heat=heat), MOST, job.units),
        joints=first_rows(joints, MOST, job.units),
        joints_count=joints.count(),
        spools=tuple(
            SpoolWithHeat(*row) for row in spools.values_list("id", "mark", "line_id", "line__number", "state")[:MOST]
        ),
        lines=tuple((key, number, tallies[key]) for key, number in lines),
    )


def heats_wanted(job: Job, search: str, missing: bool) -> QuerySet[Heat]:
    """Return the job's heats that match, without order."""
    heats = Heat.objects.filter(job=job)
    if search:
        heats = heats.filter(
            Q(number__icontains=search) | Q(material__icontains=search) | Q(certificate__number__icontains=search)
        )
    return heats.filter(Q(certificate__isnull=True) | Q(certificate__file="")) if missing else heats


def state_of(certificate: UUID | None, file: str | None) -> str:
    """Say how a heat's certificate stands."""
    if certificate is None:
        return NAMELESS
    return COMPLETE if file else WITHOUT_FILE
