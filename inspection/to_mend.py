"""Who has to act on a finding, and the page on which it is mended."""

from dataclasses import dataclass
from urllib.parse import urlencode
from uuid import UUID

from django.urls import reverse

from inspection.actions.record_examinations import METHODS
from inspection.queries.open_findings import FindingShown
from records.models import Job
from rules.acting import acts_on
from rules.points import CODE as POINT_OPEN

ANY, METHOD = UUID(int=0), "METHOD"
RECORD, SUBJECT, BY_METHOD, REJECTED, PLAIN = "record", "subject", "method", "rejected", "plain"


@dataclass(frozen=True, slots=True)
class Mend:
    """How findings of a code are mended.

    words   what the link says
    route   the page, of the joint or of the job
    verb    what it takes to open the page
    named   how the page is told which: RECORD corrects the record the finding speaks of, SUBJECT looks for what it
            names, BY_METHOD opens the form of the method that it names, REJECTED wants a rejected joint
    """

    words: str
    route: str
    verb: str = "read"
    named: str = PLAIN


_FIT_UP = Mend("Correct the fit-up", "fit-up-record", "record fit-up", RECORD)
_PASS = Mend("Correct the pass", "pass-record", "record pass", RECORD)
_RECORDS = {"fitup": "fit-up-record", "pass": "pass-record"}
_WELDER = Mend("See what the welder is qualified for", "welders", named=SUBJECT)
_HEAT = Mend("See the heat and its certificate", "heats", named=SUBJECT)
_EXAMINE = Mend("Record the examination", "examination-record", "examine", BY_METHOD)
_REPAIR = Mend("Decide the repair", "repair-decide", "decide repair", REJECTED)
_PIECE = Mend("See the piece", "pieces", named=SUBJECT)
_CARD = Mend("Look at the joint", "joint")
MENDS = {
    "fit-up-missing": Mend("Record the fit-up", "fit-up-record", "record fit-up"),
    "gap-out-of-range": _FIT_UP,
    "squareness-out-of-range": _FIT_UP,
    "high-low-out-of-range": _FIT_UP,
    "superseded-revision": _FIT_UP,
    "heat-mismatch": _FIT_UP,
    "pass-out-of-range": _PASS,
    "filler-mismatch": _PASS,
    "pass-order": _PASS,
    "stops-stacked": _PASS,
    "pass-not-all-round": Mend("Record the pass", "pass-record", "record pass"),
    "too-few-passes": Mend("Record the pass", "pass-record", "record pass"),
    "welder-not-qualified": _WELDER,
    "qualification-lapsed": _WELDER,
    "tacker-not-qualified": _WELDER,
    "stamp-suspended": _WELDER,
    "lot-not-issued": Mend("See the filler lot", "filler-lots", named=SUBJECT),
    "leg-too-small": _REPAIR,
    "undercut-too-deep": _REPAIR,
    "examination-rejected": _REPAIR,
    "examination-due": _EXAMINE,
    "extra-examination-due": _EXAMINE,
    "sample-short": Mend("See what is to examine", "examination-queue"),
    "heat-missing": _HEAT,
    "certificate-missing": _HEAT,
    "material-mismatch": _HEAT,
    "chemistry-out-of-range": _HEAT,
    "piece-on-hold": _PIECE,
    "piece-scrapped": _PIECE,
    "mark-not-transferred": _PIECE,
    "release-missing": Mend("Release the joint", "joint-release", "release"),
    "table-unconfirmed": Mend("Confirm the tables", "tables", "confirm"),
    "examiner-not-certified": Mend("Look at the joint", "joint"),
    "verdict-differs": Mend("Look at the joint", "joint"),
    "hold-point-open": Mend("See what waits for the owner", "hold-points-of-joint"),
    "record-order": Mend("Look at the joint", "joint"),
}
_OF_JOB = {mend.route for mend in MENDS.values() if mend.named == SUBJECT} | {"examination-queue", "tables"}


def mend_of(code: str) -> Mend:
    """Return how findings of a code are mended; what is not in the table begins at the joint."""
    return MENDS.get(code, _CARD)


@dataclass(frozen=True, slots=True)
class ToMend:
    """Who has to act on one finding, and the pages of this person for it; an address is empty where they may not."""

    owner: str
    words: str
    address: str
    override: str


class Mending:
    """The way from findings to the pages that mend them, for one person on one job; each address is made once."""

    def __init__(self, job: Job, verbs: frozenset[str]) -> None:
        self.job = job
        self.verbs = verbs
        self._known: dict[str, str] = {}

    def of(self, finding: FindingShown) -> ToMend:
        """Return who acts on a finding and where; the joint's card stands in where its own page would not serve."""
        mend = mend_of(finding.code)
        fits = {
            RECORD: _RECORDS.get(finding.record_kind) == mend.route,
            BY_METHOD: finding.subject in METHODS,
            REJECTED: finding.state == "rejected",
        }
        served = mend if fits.get(mend.named, True) else _CARD
        address = self._address(served, finding) if served.verb in self.verbs else ""
        is_settled = bool(finding.reason) or finding.code == POINT_OPEN
        return ToMend(acts_on(finding.code), served.words, address, "" if is_settled else self._override(finding))

    def _address(self, mend: Mend, finding: FindingShown) -> str:
        more = {RECORD: {"replaces": finding.record}, SUBJECT: {"search": finding.subject}}.get(mend.named, {})
        query = urlencode({name: value for name, value in more.items() if value})
        of_joint = [] if mend.route in _OF_JOB else [ANY]
        method = [METHOD] if mend.named == BY_METHOD else []
        page = self._page(mend.route, *of_joint, *method).replace(str(ANY), str(finding.joint_id))
        page = page.replace(METHOD, finding.subject)
        return f"{page}?{query}" if query else page

    def _override(self, finding: FindingShown) -> str:
        if "override" not in self.verbs:
            return ""
        page = self._page("finding-override", ANY).replace(str(ANY), str(finding.joint_id))
        return f"{page}?{urlencode({'finding': f'{finding.code}.{finding.attempt}'})}"

    def _page(self, route: str, *more: object) -> str:
        if route not in self._known:
            self._known[route] = reverse(route, args=[self.job.code, *more])
        return self._known[route]
