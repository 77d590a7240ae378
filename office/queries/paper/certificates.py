"""The papers of welding and the certificates of a scope as they lie in storage, for binding into a package."""

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path
from shutil import copyfileobj
from uuid import UUID

from django.db.models.fields.files import FieldFile

from office.queries.paper.batches import in_chunks
from office.queries.paper.heats import FEW, Key, joints_of_fillers, joints_of_heats
from office.queries.paper.welding_papers import attached_papers
from office.queries.scope import Scope
from records.models import Attachment, Certificate, FillerLot, Heat
from records.work import Tell
from reports.certificates import check_pdf
from reports.data import CertificateFile, CertificateSet, MissingItem
from reports.package import REFUSED

GONE = "The file that was attached is gone from the storage."


@dataclass(frozen=True, slots=True)
class Found:
    """The certificates that can be bound in, their files by name, and what is wrong with the others."""

    sets: tuple[CertificateSet, ...]
    files: dict[str, Path]
    faults: tuple[MissingItem, ...]


def certificates(scope: Scope, folder: Path, tell: Tell) -> Found:
    """Fetch the papers of welding and the certificates of the heats and filler lots in a scope; look into each.

    folder   where files are put that the storage does not keep on this computer's disk
    A file that is gone, other than the one attached or not fit to be bound in is told and left out. Four queries, one
    more for each 500 heats or lots.
    """
    taken = _Taken(folder, {}, [])
    sets: list[CertificateSet] = []
    for title, papers in attached_papers(scope):
        bound: list[CertificateFile] = []
        for done, paper in enumerate(papers):
            tell(f"Looking into the {title.lower()}", done, len(papers))
            bound += taken.take(paper.row, paper.label, paper.label, paper.used_by)
        if bound:
            sets.append(CertificateSet(title, tuple(bound)))
    seen: set[UUID] = set()
    for title, model, used in (
        ("Material certificates", Heat, joints_of_heats(scope)),
        ("Filler metal certificates", FillerLot, joints_of_fillers(scope)),
    ):
        named = _by_certificate(model, used)
        attached = [one for one in _attached(named) if one.id not in seen]
        seen.update(one.id for one in attached)
        bound = []
        for done, certificate in enumerate(attached):
            tell(f"Looking into the {title.lower()}", done, len(attached))
            label = f"{certificate.number}, {', '.join(named[certificate.id].names)}"
            bound += taken.take(certificate, certificate.number, label, named[certificate.id].joints)
        if bound:
            sets.append(CertificateSet(title, tuple(bound)))
    return Found(tuple(sets), taken.files, tuple(taken.faults))


@dataclass(slots=True)
class _Taken:
    """What was taken from the storage so far: the files by their names, and what is wrong with others."""

    folder: Path
    files: dict[str, Path]
    faults: list[MissingItem]

    def take(self, row: Certificate | Attachment, number: str, label: str, used_by: str) -> Iterator[CertificateFile]:
        """Yield the row's file if it can be bound in, else note why not."""
        path = _on_disk(row.file, self.folder / f"{row.id.hex}.pdf")
        fault = _fault(row, path) if path else GONE
        if path is None or fault:
            self.faults.append(MissingItem(REFUSED, label, fault))
            return
        name = _free_name(number, self.files)
        self.files[name] = path
        yield CertificateFile(name, label, str(path), used_by=used_by)


def _free_name(number: str, taken: dict[str, Path]) -> str:
    """The certificate's number as a file name that no other has."""
    plain = re.sub(r"[^\w.()+-]+", "-", number).strip("-.") or "certificate"
    name, count = f"{plain}.pdf", 1
    while name in taken:
        count += 1
        name = f"{plain}-{count}.pdf"
    return name


@dataclass(slots=True)
class _Covered:
    """What a certificate speaks of: heat 8812, heat 8813; and in how many joints that is."""

    names: list[str] = field(default_factory=list)
    count: int = 0

    @property
    def joints(self) -> str:
        return f"{self.count:,} joint{'' if self.count == 1 else 's'}"


def _by_certificate(model: type[Heat] | type[FillerLot], used: Mapping[UUID, list[Key]]) -> dict[UUID, _Covered]:
    word = "heat" if model is Heat else "filler lot"
    found: dict[UUID, _Covered] = defaultdict(_Covered)
    for some in in_chunks(used, FEW):
        rows = model.objects.filter(id__in=some, certificate__isnull=False).order_by("number")
        for key, certificate, number in rows.values_list("id", "certificate_id", "number"):
            found[certificate].names.append(f"{word} {number}")
            found[certificate].count += len(used[key])
    return found


def _attached(named: Iterable[UUID]) -> Iterator[Certificate]:
    rows: list[Certificate] = []
    for some in in_chunks(named, FEW):
        rows += Certificate.objects.filter(id__in=some).exclude(file="")
    return iter(sorted(rows, key=lambda one: one.number))


def _on_disk(file: FieldFile, copy: Path) -> Path | None:
    """The file's path on this computer's disk, fetched from the storage where it lies elsewhere; None if it is gone."""
    try:
        path = Path(file.path)
    except NotImplementedError:
        try:
            with file.open("rb") as stream, copy.open("wb") as target:
                copyfileobj(stream, target)
        except OSError:
            return None
        return copy
    return path if path.is_file() else None


def _digest(path: Path) -> str:
    digest = sha256()
    with path.open("rb") as stream:
        while piece := stream.read(1 << 20):
            digest.update(piece)
    return digest.hexdigest()


def _fault(certificate: Certificate | Attachment, path: Path) -> str:
    if _digest(path) != certificate.sha256:
        return "The file in the storage is not the one that was attached: its SHA-256 sum differs."
    return " ".join(check_pdf(path))
