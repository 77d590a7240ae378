"""A page that does nothing beyond its door, for `bench.every_page`: it lets in, calls what it is given, and answers."""

from collections.abc import Callable

from django.http import HttpResponse
from django.urls import path

from records.access import JobRequest, on_job
from weldtrack.urls import urlpatterns as routes

asked: list[Callable[[], object]] = []


@on_job(get="read")
def bare(request: JobRequest) -> HttpResponse:
    """Answer with what the last thing that is asked for says."""
    answer: object = ""
    for ask in asked:
        answer = ask()
    return HttpResponse(str(answer))


urlpatterns = [path("jobs/<str:code>/bare/", bare, name="bare"), *routes]
