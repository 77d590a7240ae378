"""A form that a phone may have kept: it is written for the person whose record it is, and for nobody else."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.http import HttpRequest
from django.http.response import HttpResponseBase

from records.refusals import NotTheirs

WHOSE = "kept_by"


def of_who_kept_it(view: Callable[..., HttpResponseBase]) -> Callable[..., HttpResponseBase]:
    """Refuse a form that names another person than the one who is signed in, before anything else is asked.

    Raises NotTheirs, also where nobody is signed in: sent on to the door, what was typed would be lost on the way.
    """

    @wraps(view)
    def door(request: HttpRequest, *args: Any, **arguments: Any) -> HttpResponseBase:
        whose = request.POST.get(WHOSE, "")
        if whose and whose != str(request.user.pk):
            raise NotTheirs("This record is of somebody else than who is signed in. They must sign in to send it.")
        return view(request, *args, **arguments)

    return door
