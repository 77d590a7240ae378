"""The page of what was found, and the list that drops from the box while somebody types."""

from dataclasses import dataclass
from urllib.parse import urlencode

from django.http import HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse

from office.queries.find import HEAT, JOINT, LINE, PIECE, REPORT, SHEET, SPOOL, WELDER, Group, Hit, find
from records.access import JobRequest, on_job
from records.paging import clean

# Where each kind has a page of its own, and the list that finds all of a kind.
PAGES = {JOINT: "joint", LINE: "line", SPOOL: "spool", PIECE: "piece", WELDER: "welder", REPORT: "joint", HEAT: "heat"}
LISTS = {
    JOINT: "weld-log",
    SHEET: "weld-log",
    SPOOL: "spools",
    PIECE: "pieces",
    HEAT: "heats",
    WELDER: "welders",
}
HEADS = {
    JOINT: "Joints",
    SHEET: "Sheets",
    LINE: "Lines",
    SPOOL: "Spools",
    PIECE: "Pieces",
    HEAT: "Heats",
    WELDER: "Welders",
    REPORT: "Reports of examinations",
}


@dataclass(frozen=True, slots=True)
class FoundGroup:
    """A kind with its hits, each with its address; `more` is the address of the list that has them all."""

    head: str
    hits: tuple[tuple[Hit, str], ...]
    is_more: bool
    more: str


@on_job(get="read")
def show_found(request: JobRequest) -> HttpResponse:
    """Show what a text finds, and go to it where it names one thing alone; to the script of the box only the list."""
    text = clean(request.GET.get("q"))
    groups = [_with_addresses(request.job.code, group, text) for group in find(request.job, text)]
    is_list = request.headers.get("X-Found") == "list"
    hits = [hit for group in groups for hit in group.hits]
    if not is_list and len(hits) == 1 and hits[0][0].is_exact:
        return HttpResponseRedirect(hits[0][1])
    return render(request, "office/_found.html" if is_list else "office/find.html", {"groups": groups, "text": text})


def _with_addresses(code: str, group: Group, text: str) -> FoundGroup:
    more = LISTS.get(group.kind, "")
    return FoundGroup(
        head=HEADS[group.kind],
        hits=tuple((hit, _address(code, hit)) for hit in group.hits),
        is_more=group.is_more,
        more=f"{reverse(more, args=[code])}?{urlencode({'search': text})}" if more else "",
    )


def _address(code: str, hit: Hit) -> str:
    if hit.kind == SHEET:
        return f"{reverse('weld-log', args=[code])}?{urlencode({'search': hit.name})}"
    return reverse(PAGES[hit.kind], args=[code, hit.id])
