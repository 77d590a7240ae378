"""The names that a filter offers: lines and stamps of a job, where they are few enough to choose from."""

from records.models import Job, Line, Stamp

MOST = 60


def names_to_choose(job: Job) -> tuple[list[str], list[str]]:
    """Return the numbers of lines and the codes of stamps, none where there are more than MOST; two queries."""
    lines = list(Line.objects.filter(job=job).order_by("number").values_list("number", flat=True)[: MOST + 1])
    stamps = list(Stamp.objects.filter(job=job).order_by("code").values_list("code", flat=True)[: MOST + 1])
    return (lines if len(lines) <= MOST else []), (stamps if len(stamps) <= MOST else [])
