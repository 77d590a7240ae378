"""How far the job has come."""

from django.http import HttpResponse
from django.shortcuts import render

from office.queries.progress import progress
from office.queries.progress_welders import SHARED
from records.access import JobRequest, on_job
from records.paging import keys_asked
from reports.progress_curve import picture_svg
from rules.nps import inches_explained

# Of the welders a page shows so many; the paper has all.
MOST_WELDERS = 40


@on_job(get="read")
def show_progress(request: JobRequest) -> HttpResponse:
    """Show the curve of weeks, the welders, and a strip for each line, with the figures beside each."""
    after, before = keys_asked(request.GET)
    page = progress(request.job, after=after, before=before)
    wide, narrow = page.weeks.picture(), page.weeks.picture(wide=360, high=300)
    context = {
        "page": page,
        "wide": picture_svg(wide, "curve is-wide") if wide else "",
        "narrow": picture_svg(narrow, "curve is-narrow") if narrow else "",
        "welders": page.welders[:MOST_WELDERS],
        "shared": SHARED,
        "inches_explained": inches_explained(request.job.units),
    }
    return render(request, "office/progress.html", context)
