"""Attach the paper of a certificate: a PDF, checked by what is in it, kept under the sum of its bytes."""

import hashlib

from django.db import transaction

from joints.actions.save_plan import save_plan
from joints.attached_files import kept, pdf_faults, plain_name
from records.models import Certificate, Job, User
from records.permissions import require
from records.refusals import Fault, Implausible
from records.retrying import retried


@retried
def attach_certificate(
    certificate: Certificate, content: bytes, file_name: str, *, job: Job, by: User, reason: str = ""
) -> Certificate:
    """Store a PDF as the paper of a certificate; the same file sent again changes nothing.

    The file before stays in the storage, and the journal names it by its sum: a replacement hides nothing.
    Raises  NotAllowed, Implausible (no PDF, encrypted, with active content, too large, or replacing without a reason)
    """
    require(by, job, "plan")
    faults = pdf_faults(content, "the certificate")
    sha256 = hashlib.sha256(content).hexdigest()
    with transaction.atomic():
        # As it stands now, not as the page showed it: two may attach at once, and an import may renumber it.
        certificate.refresh_from_db(from_queryset=Certificate.objects.filter(job=job).select_for_update(no_key=True))
        if certificate.file and certificate.sha256 != sha256 and not reason.strip():
            told = "A file stands here already; say why this one replaces it."
            faults.append(Fault("reason", told, "a few words"))
        if faults:
            raise Implausible.of(*faults)
        name, _ = kept(content, "certificates")
        if certificate.sha256 != sha256:
            certificate.file.name = name
            certificate.file_name = plain_name(file_name)
            certificate.size = len(content)
            certificate.sha256 = sha256
            save_plan([certificate], job=job, by=by, reason=reason)
    return certificate
