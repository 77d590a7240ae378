"""Attach the paper of a certificate: a PDF, checked by what is in it, kept under the sum of its bytes."""

import hashlib
import unicodedata

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import transaction

from joints.actions.save_plan import save_plan
from records.models import Certificate, Job, User
from records.permissions import require
from records.refusals import Fault, Implausible
from records.retrying import retried
from reports.vetting import vetted

MOST_BYTES = 20 * 1024 * 1024
ACCEPTED = "a PDF of at most 20 MB, not encrypted, without scripts or other files in it"
LONGEST_NAME = 200
# Control signs, those that turn the direction of reading, and line ends.
UNSEEN = ("Cc", "Cf", "Co", "Cs", "Cn", "Zl", "Zp")


@retried
def attach_certificate(
    certificate: Certificate, content: bytes, file_name: str, *, job: Job, by: User, reason: str = ""
) -> Certificate:
    """Store a PDF as the paper of a certificate; the same file sent again changes nothing.

    The file before stays in the storage, and the journal names it by its sum: a replacement hides nothing.
    Raises  NotAllowed, Implausible (no PDF, encrypted, with active content, too large, or replacing without a reason)
    """
    require(by, job, "plan")
    faults = _faults_of(content)
    sha256 = hashlib.sha256(content).hexdigest()
    with transaction.atomic():
        # As it stands now, not as the page showed it: two may attach at once, and an import may renumber it.
        certificate.refresh_from_db(from_queryset=Certificate.objects.filter(job=job).select_for_update(no_key=True))
        if certificate.file and certificate.sha256 != sha256 and not reason.strip():
            told = "A file stands here already; say why this one replaces it."
            faults.append(Fault("reason", told, "a few words"))
        if faults:
            raise Implausible(" ".join(fault.message for fault in faults), faults)
        name = _stored(content, sha256)
        if certificate.sha256 != sha256:
            certificate.file.name = name
            certificate.file_name = plain_name(file_name)
            certificate.size = len(content)
            certificate.sha256 = sha256
            save_plan([certificate], job=job, by=by, reason=reason)
    return certificate


def plain_name(sent: str) -> str:
    """A file's name without folders or signs that can't be seen, ending as what it is: whoever saves it opens a PDF."""
    name = sent.replace("\\", "/").rsplit("/", 1)[-1]
    name = "".join(sign for sign in name if unicodedata.category(sign) not in UNSEEN).strip(" .")
    if not name.lower().endswith(".pdf"):
        name += ".pdf"
    return name[-LONGEST_NAME:]


def _faults_of(content: bytes) -> list[Fault]:
    """What keeps bytes from being the paper of a certificate."""
    why = ""
    if not content:
        why = "The file is empty."
    elif len(content) > MOST_BYTES:
        why = "The file has more than 20 MB."
    elif faults := vetted(content):
        why = " ".join(faults)
    return [Fault("file", f"This can't be the certificate: {why}", ACCEPTED)] if why else []


def _stored(content: bytes, sha256: str) -> str:
    """Write the bytes under their sum, once; what a name holds can then never change.

    A file cut short by a process that was killed, or damaged since, is written again.
    """
    name = f"certificates/{sha256}.pdf"
    if default_storage.exists(name):
        with default_storage.open(name) as kept:
            if hashlib.sha256(kept.read()).hexdigest() == sha256:
                return name
        default_storage.delete(name)
    return default_storage.save(name, ContentFile(content))
