"""What code, procedure and exam plan ask of a joint by themselves: what an owner's limit is held against."""

from collections.abc import Mapping

from rules.examination import code_leg, code_undercut
from rules.facts import JobFacts, JointFacts
from rules.fit_up import of_wps
from rules.indications import OWNED, code_limit
from rules.source import Source
from rules.specification import LIMITS, PLAN, Bound

_OF_PROCEDURE = {
    "gap min": "gap_min_mm",
    "gap max": "gap_max_mm",
    "squareness max": "squareness_max_mm",
    "high-low max": "high_low_max_mm",
    "preheat min": "preheat_min_c",
    "interpass max": "interpass_max_c",
    "heat input max": "heat_input_max_kj_mm",
    "passes min": "passes_min",
    "stop spacing min": "stop_spacing_min_degrees",
}


def given(joint: JointFacts, job: JobFacts) -> Mapping[str, Bound]:
    """The bounds that are set without the owner, by the limit's name; what nobody limits is left out."""
    found = {name: of_wps(joint.procedure, field) for name, field in _OF_PROCEDURE.items()}
    found["leg min"], found["undercut max"] = code_leg(joint, job), code_undercut(joint, job)
    for kind, (name, _) in OWNED.items():
        found.setdefault(name, code_limit(kind, joint, job))
    for rule in joint.exam_rules:
        name = f"{rule.method} share min"
        if name in LIMITS and LIMITS[name].beside == PLAN:
            found[name] = Bound(rule.share_percent, Source(f"exam plan {rule.plan}"))
    return {name: bound for name, bound in found.items() if bound}
