"""Find joints by whatever is written on them: number, alias, drawing, spool or heat."""

from django.db.models import Q

from records.models import Heat, Job, Sheet, Spool


def search(job: Job, text: str) -> Q:
    """Return the condition that joints of the job meet which carry this text; no query of its own.

    text  a joint's number or alias, part of a drawing, spool or heat, drawing/sheet, or drawing/sheet/number
    """
    parts = [part.strip() for part in text.split("/")]
    if len(parts) == 3 and all(parts):
        return Q(sheet__drawing__iexact=parts[0], sheet__number__iexact=parts[1], number__iexact=parts[2])
    if len(parts) == 2 and all(parts):
        one = Sheet.objects.filter(job=job, drawing__iexact=parts[0], number__iexact=parts[1]).values("id")
        return Q(sheet_id__in=one) | _anywhere(job, text)
    return _anywhere(job, text)


def _anywhere(job: Job, text: str) -> Q:
    sheets = Sheet.objects.filter(job=job, drawing__icontains=text).values("id")
    spools = Spool.objects.filter(job=job, mark__icontains=text).values("id")
    heats = Heat.objects.filter(job=job, number__icontains=text).values("id")
    return (
        Q(number__iexact=text)
        | Q(alias__iexact=text)
        | Q(sheet_id__in=sheets)
        | Q(spool_id__in=spools)
        | Q(spool_b_id__in=spools)
        | Q(heat_a_id__in=heats)
        | Q(heat_b_id__in=heats)
    )
