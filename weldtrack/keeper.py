"""Work without signal: the script that keeps records on a phone until the site has them, and the page that shows them.

What it does stands in `static/js/keeper.js`. It must come from the root, since a script governs no page above its own
address, and it brings in `kept.js` by the name that this version has, so that a new version is noticed.
"""

from functools import cache

from django.contrib.auth.decorators import login_required
from django.contrib.staticfiles import finders
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.templatetags.static import static
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe


@cache
def _keeper() -> str:
    path = finders.find("js/keeper.js")
    if not isinstance(path, str):
        raise FileNotFoundError("js/keeper.js is not among the static files")
    with open(path, encoding="utf-8") as file:
        return f'importScripts("{static("js/kept.js")}");\n{file.read()}'


@never_cache
@require_safe
def send_keeper(request: HttpRequest) -> HttpResponse:
    """Send the script of the keeper; the same for everybody, so that it can be renewed before the door."""
    return HttpResponse(_keeper(), content_type="text/javascript; charset=utf-8")


@login_required
@require_safe
def show_kept(request: HttpRequest) -> HttpResponse:
    """Show what this device keeps: the browser fills it in, also without signal."""
    return render(request, "weldtrack/kept.html")
