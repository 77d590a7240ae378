"""The tags of a line's spools and joints, to print on labels."""

from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from office.forms.tags_form import TagsForm
from office.queries.tags import joint_tags, spool_tags
from records.access import JobRequest, on_job
from records.models import Line
from records.sending import send_pdf
from reports.tags import LABELS, tags_pdf


@on_job(get="read")
def show_tags(request: JobRequest, line: UUID) -> HttpResponse:
    """Ask which tags, on which labels; send them as a PDF once that is answered."""
    found = get_object_or_404(Line, job=request.job, id=line)
    form = TagsForm(request.GET or None, units=request.job.units)
    if form.is_bound and form.is_valid():
        name, make = ("spool", spool_tags) if form.cleaned_data["of"] == "spools" else ("joint", joint_tags)
        tags = make(found, lambda key: request.build_absolute_uri(reverse(name, args=[request.job.code, key])))
        if tags:
            title = f"{request.job.code} {found.number} {name} tags"
            labels = LABELS[form.cleaned_data["labels"]]
            return send_pdf(tags_pdf(title, tags, labels, first=form.cleaned_data["first"]), title)
        form.add_error("of", f"Line {found.number} has no {name}s yet.")
    status = 422 if form.is_bound else 200
    return render(request, "office/tags.html", {"line": found, "form": form}, status=status)
