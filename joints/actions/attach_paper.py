"""Attach a paper of welding: the WPS or PQR of a procedure, the record of a welder's qualification."""

import hashlib

from django.db import transaction

from joints.actions.save_plan import save_plan
from joints.attached_files import kept, pdf_faults, plain_name
from records.models import Attachment, Job, Procedure, Qualification, User
from records.models.attachment import OF_PROCEDURE, OF_QUALIFICATION
from records.permissions import require
from records.refusals import Fault, Implausible
from records.retrying import retried


@retried
def attach_paper(
    of: Procedure | Qualification, kind: str, content: bytes, file_name: str, *, job: Job, by: User, reason: str = ""
) -> Attachment:
    """Store a PDF as a paper of a procedure or qualification; the same file sent again changes nothing.

    kind    WPS or PQR of a procedure, WPQ of a qualification
    A file before stays in the storage, and the journal names it by its sum: a replacement hides nothing.
    Raises  NotAllowed, Implausible (no PDF, encrypted, active content, too large, replacing without a reason, or a
            kind that this has not)
    """
    require(by, job, "plan")
    known = OF_PROCEDURE if isinstance(of, Procedure) else OF_QUALIFICATION
    faults = pdf_faults(content, "this paper")
    if kind not in known:
        faults.append(Fault("kind", f"There is no paper {kind[:20]!r} of this.", " or ".join(known)))
    sha256 = hashlib.sha256(content).hexdigest()
    side = "procedure" if isinstance(of, Procedure) else "qualification"
    with transaction.atomic():
        # Its owner's row is locked, so that two who attach the first paper at once don't make two of them.
        type(of)._default_manager.select_for_update(no_key=True).get(job=job, pk=of.pk)
        stands = Attachment.objects.filter(job=job, kind=kind, **{side: of}).first()
        if stands and stands.sha256 != sha256 and not reason.strip():
            told = "A file stands here already; say why this one replaces it."
            faults.append(Fault("reason", told, "a few words"))
        if faults:
            raise Implausible.of(*faults)
        name, _ = kept(content, "attachments")
        if stands and stands.sha256 == sha256:
            return stands
        row = stands or Attachment(kind=kind, **{side: of})
        row.file.name = name
        row.file_name, row.size, row.sha256 = plain_name(file_name), len(content), sha256
        save_plan([row], job=job, by=by, reason=reason)
    return row
