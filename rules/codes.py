"""The codes of findings and how much each weighs."""

from rules.finding import CORRECT, NOTE, STOP

SEVERITY = {
    "fit-up-missing": CORRECT,
    "gap-out-of-range": CORRECT,
    "squareness-out-of-range": CORRECT,
    "high-low-out-of-range": CORRECT,
    "welder-not-qualified": STOP,
    "qualification-lapsed": STOP,
    "tacker-not-qualified": STOP,
    "stamp-suspended": STOP,
    "procedure-missing": STOP,
    "procedure-not-applicable": STOP,
    "pass-out-of-range": STOP,
    "filler-mismatch": STOP,
    "too-few-passes": STOP,
    "pass-not-all-round": STOP,
    "pass-order": CORRECT,
    "stops-stacked": CORRECT,
    "leg-too-small": STOP,
    "undercut-too-deep": STOP,
    "examination-due": STOP,
    "examination-rejected": STOP,
    "examiner-not-certified": CORRECT,
    "verdict-differs": NOTE,
    "sample-short": STOP,
    "extra-examination-due": STOP,
    "heat-missing": CORRECT,
    "heat-mismatch": CORRECT,
    "certificate-missing": CORRECT,
    "material-mismatch": CORRECT,
    "chemistry-out-of-range": STOP,
    "piece-on-hold": CORRECT,
    "piece-scrapped": CORRECT,
    "mark-not-transferred": CORRECT,
    "lot-not-issued": NOTE,
    "record-order": CORRECT,
    "repairs-exceeded": CORRECT,
    "release-missing": CORRECT,
    "table-unconfirmed": CORRECT,
    "superseded-revision": CORRECT,
    "reason-missing": NOTE,
    "hold-point-open": CORRECT,
}
CODES = tuple(SEVERITY)
# What the code's words alone would not say, or not as the trade says it.
_CALLED = {
    "fit-up-missing": "fit-up missing",
    "high-low-out-of-range": "high-low out of range",
    "pass-order": "passes out of order",
    "record-order": "records out of order",
    "mark-not-transferred": "heat number not transferred",
    "lot-not-issued": "filler lot not issued",
    "verdict-differs": "verdict differs from the table",
}


def finding_called(code: str) -> str:
    """What a finding is called where a person reads it: "examination due" for `examination-due`."""
    return _CALLED.get(code, code.replace("-", " "))
