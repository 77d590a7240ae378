"""Give somebody a link with which they set a password: it works once, for three days."""

import logging

from allauth.account.forms import default_token_generator
from allauth.account.utils import user_pk_to_url_str
from django.core.mail import send_mail
from django.urls import reverse

from records.models import Job, User
from records.permissions import require, require_sign_in_of
from records.refusals import Fault, Implausible

log = logging.getLogger(__name__)
SUBJECT = "Your sign-in at Spoolbook"
MAIL = """{by} put you on the job {job} at Spoolbook. You sign in as {name}.

Set your password here; the link works once, for three days:
{link}
"""


def give_password_link(person: User, *, site: str, job: Job, by: User, is_mailed: bool = False) -> str:
    """Return the address with which a person sets a password, and mail it to them where that is asked.

    site    how the site is reached, for example https://spoolbook.yard.example
    Raises  NotAllowed (also where the person is on a job that `by` does not manage), Implausible (a closed sign-in, no
            mail address to send it to)
    """
    require(by, job, "manage people")
    require_sign_in_of(by, person)
    if not person.is_active:
        raise Implausible.of(Fault("deed", "This sign-in is closed.", "open it first"))
    if is_mailed and not person.email:
        raise Implausible.of(
            Fault("deed", "No mail address stands with this sign-in.", "write it down first, or show the link")
        )
    key = {"uidb36": user_pk_to_url_str(person), "key": default_token_generator.make_token(person)}
    link = site.rstrip("/") + reverse("account_reset_password_from_key", kwargs=key)
    log.warning("%s gave %s a link to set a password", by.get_username(), person.get_username())
    if is_mailed:
        by_name = by.get_full_name() or by.get_username()
        said = MAIL.format(by=by_name, job=job.code, name=person.get_username(), link=link)
        send_mail(SUBJECT, said, None, [person.email])
    return link
