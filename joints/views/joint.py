"""The joint card."""

from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render

from joints.cautions import cautions_for
from joints.queries.find_joint import find_joint
from joints.queries.joint_card import Card
from joints.queries.joint_history import Entry
from joints.views.card_actions import Mending, acts_of, mending_of, override_address
from records.access import JobRequest, on_job
from records.models import Finding
from rules.points import CODE as POINT_OPEN


@dataclass(frozen=True, slots=True)
class Told:
    """A chapter of the history with the ways to mend each entry."""

    words: str
    entries: list[tuple[Entry, Mending]]


@on_job(get="read")
def show_joint(request: JobRequest, joint: UUID) -> HttpResponse:
    """Show a joint: what it needs, what was done, what speaks against it, and the next step."""
    card = Card(request.job, find_joint(request.job, joint), request.user)
    context = {
        "card": card,
        "joint": card.joint,
        "acts": acts_of(card, request.verbs),
        "cautions": cautions_for(card.joint.next_step),
        "chapters": [Told(one.words, _mendable(card, one.entries, request.verbs)) for one in card.chapters],
        "findings": [(finding, _override(card, finding, request.verbs)) for finding in card.findings],
    }
    return render(request, "joints/joint.html", context)


def _mendable(card: Card, entries: Sequence[Entry], verbs: frozenset[str]) -> list[tuple[Entry, Mending]]:
    return [(entry, mending_of(card, entry, verbs)) for entry in entries]


def _override(card: Card, finding: Finding, verbs: frozenset[str]) -> str:
    """Where the finding is overridden; what is overridden or only to know needs none."""
    if "override" not in verbs or finding.override_id or finding.severity == "note" or finding.code == POINT_OPEN:
        return ""
    return override_address(card, finding.name)
