"""What still stands between a job and its handover, counted."""

from dataclasses import dataclass, replace

from inspection.queries.open_findings import counts_by_code
from joints.queries.heats import certificate_counts
from joints.queries.tally import tally
from joints.queries.weld_log import Wanted, joints_wanted
from records.models import Job, Joint

# How each is told where there is one only.
ONE = {
    "joints not yet accepted": "joint not yet accepted",
    "joints with an examination due": "joint with an examination due",
    "accepted joints without a release": "accepted joint without a release",
    "open findings that stop a release": "open finding that stops a release",
    "open findings to correct": "open finding to correct",
    "heats that name no certificate": "heat that names no certificate",
    "certificates without their file": "certificate without its file",
}


@dataclass(frozen=True, slots=True)
class Missing:
    """One kind of thing that is missing: how many, and the list (route and query) that shows them."""

    what: str
    count: int
    route: str
    query: str


def missing_counts(job: Job) -> list[Missing]:
    """Return what is missing before handover, in the order in which the work is done; five queries."""
    states = {share.state: share.joints for share in tally(Joint.objects.filter(job=job)).shares}
    unfinished = sum(count for state, count in states.items() if state not in ("accepted", "released", "withdrawn"))
    findings = counts_by_code(job)
    stops, corrects = (sum(count for one, _, count in findings if one == severity) for severity in ("stop", "correct"))
    papers = certificate_counts(job)
    found = [
        Missing("joints not yet accepted", unfinished, "weld-log", "waits=acceptance"),
        Missing("joints with an examination due", _due(job), "weld-log", "waits=examine"),
        Missing("accepted joints without a release", states.get("accepted", 0), "weld-log", "state=accepted"),
        Missing("open findings that stop a release", stops, "findings", "severity=stop"),
        Missing("open findings to correct", corrects, "findings", "severity=correct"),
        Missing("heats that name no certificate", papers.heats_without, "heats", "missing=yes"),
        Missing("certificates without their file", papers.files_missing, "heats", "missing=yes"),
    ]
    return [replace(one, what=ONE.get(one.what, one.what)) if one.count == 1 else one for one in found if one.count]


def _due(job: Job) -> int:
    return joints_wanted(job, Wanted(waits="examine")).count()
