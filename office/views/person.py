"""The page of one person on a job: roles, stamp, names, and how they sign in."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from joints.forms.told_form import ToldForm
from joints.views.record_page import SeeOther
from office.actions.describe_person import describe_person
from office.actions.give_password_link import give_password_link
from office.actions.link_stamp import link_stamp
from office.actions.revoke_token import revoke_token
from office.actions.set_roles import set_roles
from office.actions.switch_sign_in import switch_sign_in
from office.actions.take_off_second_factor import take_off_second_factor
from office.forms.person_forms import DescribeForm, LinkStampForm, RolesForm
from office.queries.members import Member, member, tokens_of
from records.access import JobRequest, on_job
from records.models import ApiToken, Stamp
from records.paging import clean
from records.refusals import Fault, Implausible, Refusal


@dataclass(slots=True)
class Page:
    """What the page shows: a person, forms (the one sent with what is wrong), tokens, and a link just made."""

    member: Member
    forms: dict[str, ToldForm]
    tokens: Sequence[ApiToken] = ()
    link: str = ""
    faults: tuple[Fault, ...] = ()


@on_job(get="manage people", post="manage people")
def show_person(request: JobRequest, person: str) -> HttpResponse:
    """Show a person, or do what `deed` names and show them again."""
    page = _page(request, person)
    if request.method != "POST":
        return render(request, "office/person.html", {"page": page})
    deed = request.POST.get("deed", "")
    try:
        if deed not in DEEDS:
            raise Implausible.of(Fault("deed", "What is to be done is missing."))
        form = page.forms.get(deed)
        told = DEEDS[deed](request, page) if form is None or form.is_valid() else ""
    except Refusal as refusal:
        return _refused(request, page, refusal, deed)
    if page.link:
        # Shown once, in the answer itself: an address that anybody could open must not be kept anywhere.
        return render(request, "office/person.html", {"page": page})
    if not told:
        return render(request, "office/person.html", {"page": page}, status=422)
    messages.success(request, told)
    is_off = deed == "roles" and member(request.job, page.member.person.username) is None
    return SeeOther(reverse("people", args=[request.job.code]) if is_off else request.path)


def _page(request: JobRequest, name: str) -> Page:
    found = member(request.job, clean(name, 150))
    if found is None or found.is_site:
        raise Http404("Nobody on this job signs in with that name.")
    sent = request.POST.get("deed") if request.method == "POST" else None

    def data(deed: str) -> Any:
        return request.POST if sent == deed else None

    described = {name: getattr(found.person, name) for name in ("first_name", "last_name", "email")}
    forms: dict[str, ToldForm] = {
        "roles": RolesForm(data("roles"), initial={"roles": found.roles}, prefix="roles"),
        "stamp": LinkStampForm(data("stamp"), job=request.job),
        "describe": DescribeForm(data("describe"), initial=described),
    }
    return Page(found, forms, tokens_of(found.person, request.job))


def _refused(request: JobRequest, page: Page, refusal: Refusal, deed: str) -> HttpResponse:
    if form := page.forms.get(deed):
        form.take(refusal)
    else:
        page.faults = refusal.faults or (Fault("deed", refusal.message),)
    return render(request, "office/person.html", {"page": page}, status=refusal.status)


def _set_roles(request: JobRequest, page: Page) -> str:
    asked = page.forms["roles"].cleaned_data
    changed = set_roles(page.member.person, asked["roles"], job=request.job, by=request.user, reason=asked["reason"])
    return "The roles are changed." if changed else "The roles stand so already."


def _link(request: JobRequest, page: Page) -> str:
    stamp = page.forms["stamp"].cleaned_data["stamp"]
    link_stamp(stamp, page.member.person, job=request.job, by=request.user)
    return f"{stamp.code} is linked."


def _unlink(request: JobRequest, page: Page) -> str:
    code = clean(request.POST.get("code"), 20)
    stamp = Stamp.objects.filter(job=request.job, code=code, welder__user=page.member.person).first()
    if stamp is None:
        raise Implausible.of(Fault("deed", "This stamp is not theirs."))
    link_stamp(stamp, None, job=request.job, by=request.user)
    return f"{stamp.code} is not linked any more."


def _describe(request: JobRequest, page: Page) -> str:
    describe_person(page.member.person, **page.forms["describe"].cleaned_data, job=request.job, by=request.user)
    return "The names and the mail address are written down."


def _give_link(request: JobRequest, page: Page) -> str:
    site = request.build_absolute_uri("/")
    page.link = give_password_link(page.member.person, site=site, job=request.job, by=request.user)
    return "The link is made."


def _mail_link(request: JobRequest, page: Page) -> str:
    person, site = page.member.person, request.build_absolute_uri("/")
    give_password_link(person, site=site, job=request.job, by=request.user, is_mailed=True)
    return f"A link is on its way to {person.email}."


def _take_off(request: JobRequest, page: Page) -> str:
    was_on = take_off_second_factor(page.member.person, job=request.job, by=request.user)
    return "The second factor is off; they sign in by password alone." if was_on else "There was no second factor."


def _revoke(request: JobRequest, page: Page) -> str:
    try:
        key = UUID(clean(request.POST.get("token"), 36))
    except ValueError:
        raise Implausible.of(Fault("deed", "Which token is missing.")) from None
    token = revoke_token(page.member.person, key, job=request.job, by=request.user)
    return f"The token {token.name} is revoked: it opens nothing any more."


def _close(request: JobRequest, page: Page) -> str:
    switch_sign_in(page.member.person, is_open=False, job=request.job, by=request.user)
    return "The sign-in is closed. What they recorded stays."


def _open(request: JobRequest, page: Page) -> str:
    switch_sign_in(page.member.person, is_open=True, job=request.job, by=request.user)
    return "The sign-in is open again."


DEEDS: Mapping[str, Callable[[JobRequest, Page], str]] = {
    "roles": _set_roles,
    "stamp": _link,
    "unlink": _unlink,
    "describe": _describe,
    "give link": _give_link,
    "mail link": _mail_link,
    "take off": _take_off,
    "revoke": _revoke,
    "close": _close,
    "open": _open,
}
