"""The codes of findings and how much each weighs."""

from rules.finding import CORRECT, STOP

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
    "pass-order": CORRECT,
    "stops-stacked": CORRECT,
    "leg-too-small": STOP,
    "undercut-too-deep": STOP,
    "examination-due": STOP,
    "examination-rejected": STOP,
    "examiner-not-certified": CORRECT,
    "sample-short": STOP,
    "extra-examination-due": STOP,
    "heat-missing": CORRECT,
    "heat-mismatch": CORRECT,
    "certificate-missing": CORRECT,
    "material-mismatch": CORRECT,
    "chemistry-out-of-range": STOP,
    "record-order": CORRECT,
    "repairs-exceeded": CORRECT,
    "release-missing": CORRECT,
    "superseded-revision": CORRECT,
    "hold-point-open": CORRECT,
}
CODES = tuple(SEVERITY)
