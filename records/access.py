"""The door of every page of a job: signed in, on the job, and allowed the deed."""

from collections.abc import Callable
from functools import wraps
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.exceptions import ImproperlyConfigured
from django.http import Http404, HttpRequest, HttpResponseNotAllowed
from django.http.response import HttpResponseBase
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django_htmx.middleware import HtmxDetails

from records import second_factor
from records.models import Job, User
from records.permissions import ALLOWED, job_with_roles, verbs_of, words
from records.refusals import NotAllowed

View = Callable[..., HttpResponseBase]


class JobRequest(HttpRequest):
    """A request that passed the door: it carries the job, the person's roles on it and what they may do."""

    user: User  # type: ignore[assignment]  # the door lets nobody in who has not signed in
    htmx: HtmxDetails
    job: Job
    roles: frozenset[str]
    verbs: frozenset[str]


def on_job(**verbs: str) -> Callable[[View], View]:
    """Let a request through to a view of `/jobs/<code>/...`, which gets every argument but the code.

    verbs   the verb of `records.permissions` that each method needs, for example get="read", post="record pass"
    A job that the person is not on answers as one that does not exist. One query.
    Raises  NotAllowed where the person is on the job without the verb; ImproperlyConfigured, when the view is
            loaded, for a verb that there is none of
    """
    needed = {method.upper(): verb for method, verb in verbs.items()}
    if "GET" in needed:
        needed.setdefault("HEAD", needed["GET"])
    for verb in needed.values():
        if verb not in ALLOWED:
            raise ImproperlyConfigured(f"A view asks for the verb {verb!r}, which the table of permissions lacks.")

    def decorate(view: View) -> View:
        @login_required
        @wraps(view)
        def door(request: Any, code: str, **arguments: Any) -> HttpResponseBase:
            found = job_with_roles(request.user, code)
            if found is None:
                raise Http404("There is no such job.")
            job, roles = found
            if request.method not in needed:
                return HttpResponseNotAllowed(sorted(needed))
            verb = needed[request.method]
            if not ALLOWED[verb] & roles:
                raise NotAllowed(f"Your role on {job.code} does not include this; {words(ALLOWED[verb])} may do it.")
            if second_factor.demands(job, roles) and not second_factor.was_given(request):
                return _ask_second_factor(request, job)
            request.job, request.roles, request.verbs = job, roles, verbs_of(roles)
            return view(request, **arguments)

        # On a tablet that many hands share, Back after signing out must not show the page again.
        return never_cache(door)

    return decorate


def _ask_second_factor(request: HttpRequest, job: Job) -> HttpResponseBase:
    """Send a reader to set one up, and back; what was to be written is refused, else it would be lost on the way."""
    told = f"{job.code} asks for a second factor from whoever may write on it."
    if request.method not in ("GET", "HEAD"):
        raise NotAllowed(f"{told} Set one up under your name at the top, then send it again.")
    messages.warning(request, f"{told} Set one up here; it takes a minute.")
    return redirect(f"{reverse('mfa_activate_totp')}?{urlencode({'next': request.get_full_path()})}")
