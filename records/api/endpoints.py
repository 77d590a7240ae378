"""The addresses of every resource: the list, which may be written to, and the single row."""

from collections.abc import Callable
from typing import Any, ClassVar
from uuid import UUID

from django.http import Http404
from django.urls import URLPattern, path
from django.utils.decorators import method_decorator
from django.views.decorators.cache import never_cache
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from records.api.asker import Asker
from records.api.cursor import asked, page
from records.api.described import ResourceSchema
from records.api.resource import Resource
from records.api.writing import read_batch


@method_decorator(never_cache, name="dispatch")
class ResourceView(APIView):
    """What the list and the single row have in common."""

    resource: ClassVar[Any] = None
    # How the API calls a field that a refusal names; actions have the trade's words, "gap 12" for `gap_12_mm`.
    called: Callable[[str], str] = staticmethod(str)
    is_list: ClassVar[bool] = False
    schema = ResourceSchema()


class ListView(ResourceView):
    """GET: a page of rows, of one job or of all that the person is on."""

    http_method_names = ["get", "head"]
    is_list = True

    def get(self, request: Request) -> Response:
        """Answer {next, results}; two queries, one more for each kind of children."""
        asker = Asker(request)
        verb = self.resource.read_verb
        wanted = asked(request, asker, self.resource.filters, verb)
        if verb != "read":
            asker.admit_somewhere(verb)
        rows = self.resource.all().filter(**wanted.filters)
        job = self.resource.of_job
        rows = rows.filter(**({job: wanted.job} if wanted.job else {f"{job}__in": asker.jobs(verb)}))
        found, following = page(rows, self.resource.keys, self.resource.model, wanted, request)
        return Response({"next": following, "results": self.resource.shown(found)})


class WritableView(ListView):
    """POST beside GET: one record or a list of them, all or nothing, by the same action as the pages."""

    http_method_names = ["get", "head", "post"]

    def post(self, request: Request) -> Response:
        """Answer what was recorded: 201 with what is new, 200 where all of it stood here already."""
        asker = Asker(request)
        batch = read_batch(request, self.resource, asker, asker.user)
        self.called = self.resource.field_called
        stored = self.resource.act(batch.drafts, job=batch.job, by=asker.user)
        rows = {row["id"]: row for row in self.resource.all().filter(pk__in=[one.pk for one in stored])}
        told = self.resource.shown(rows[one.pk] for one in stored)
        # What the action gives back is the draft itself where it was written, else what had been stored before.
        sent = {id(one) for one in batch.drafts}
        is_new = any(id(one) in sent for one in stored)
        return Response(told if batch.is_list else told[0], status=201 if is_new else 200)


class OneView(ResourceView):
    """GET: one row by its id; one of a job that the person is not on answers as one that does not exist."""

    http_method_names = ["get", "head"]

    def get(self, request: Request, id: UUID) -> Response:
        """Answer the row; two queries, one more for each kind of children."""
        asker = Asker(request)
        job = self.resource.of_job
        row: Any = self.resource.all().filter(pk=id).values(*self.resource.columns, job).first()
        if row is None or not asker.is_on(row[job]):
            raise Http404("There is no such thing.")
        asker.admit(row[job], self.resource.read_verb)
        return Response(self.resource.shown([row])[0])


def routes(*resources: Resource) -> list[URLPattern]:
    """The addresses of some resources."""
    found = []
    for one in resources:
        listed = (WritableView if one.act else ListView).as_view(resource=one)
        found.append(path(f"api/{one.path}/", listed, name=f"api-{one.path}"))
        if one.keys == ("id",) and one.model._meta.pk.name == "id":
            single = OneView.as_view(resource=one)
            found.append(path(f"api/{one.path}/<{_converter(one)}:id>/", single, name=f"api-{one.path}-one"))
    return found


def _converter(resource: Resource) -> str:
    return "uuid" if resource.model._meta.pk.get_internal_type() == "UUIDField" else "int"
