"""Who has to act on a finding, and the key that sorts a list of findings."""

from rules.finding import CORRECT, NOTE, STOP

FOREMAN, INSPECTOR, ENGINEER, OWNER = "foreman", "inspector", "engineer", "owner"
ACTING = (FOREMAN, INSPECTOR, ENGINEER, OWNER)
WEIGHTS = (STOP, CORRECT, NOTE)
# Common practice, no source: what is measured or welded goes back to the foreman, what is examined to the inspector,
# and what papers or the plan lack to the engineer, who acts on whatever is not named here. Only the owner attends or
# waives a point.
_ACTS = {
    "fit-up-missing": FOREMAN,
    "gap-out-of-range": FOREMAN,
    "squareness-out-of-range": FOREMAN,
    "high-low-out-of-range": FOREMAN,
    "superseded-revision": FOREMAN,
    "heat-mismatch": FOREMAN,
    "pass-out-of-range": FOREMAN,
    "filler-mismatch": FOREMAN,
    "pass-order": FOREMAN,
    "stops-stacked": FOREMAN,
    "pass-not-all-round": FOREMAN,
    "too-few-passes": FOREMAN,
    "lot-not-issued": FOREMAN,
    "record-order": FOREMAN,
    "leg-too-small": INSPECTOR,
    "undercut-too-deep": INSPECTOR,
    "examination-rejected": INSPECTOR,
    "examination-due": INSPECTOR,
    "extra-examination-due": INSPECTOR,
    "sample-short": INSPECTOR,
    "piece-on-hold": INSPECTOR,
    "piece-scrapped": INSPECTOR,
    "mark-not-transferred": INSPECTOR,
    "release-missing": INSPECTOR,
    "examiner-not-certified": INSPECTOR,
    "verdict-differs": INSPECTOR,
    "hold-point-open": OWNER,
}


def acts_on(code: str) -> str:
    """The role that has to act on findings of a code."""
    return _ACTS.get(code, ENGINEER)


def finding_key(severity: str, code: str, joint_key: str) -> str:
    """What sorts a finding: the weightiest first, those of a code together, and then by joint.

    Letters and figures alone begin it: a database may pass over other signs when it sorts.
    """
    return f"{key_of(severity, code)} {joint_key}"


def key_of(severity: str, code: str = "") -> str:
    """How the keys of all findings of a severity begin, or those of a code with that severity."""
    return f"{WEIGHTS.index(severity)}{code.replace('-', '')}"


def key_after(beginning: str) -> str:
    """The least text of its length that sorts after every key that begins so."""
    return beginning[:-1] + chr(ord(beginning[-1]) + 1)
