"""Which tables of standards the judgement of a joint rests on."""

from functools import lru_cache

from rules.asked import asked_of
from rules.case import open_case
from rules.certificate import has_limits
from rules.facts import JobFacts, JointFacts
from rules.heats import heats_of
from rules.materials import is_same_material
from rules.ranges import TABLES
from rules.tables import basis, table

Rows = tuple[tuple[str, str], ...]
# A welder's range and its days rest on these whole.
_NAMES = (*(name for names in TABLES.values() for name in names), "continuity_qw322")
WELDERS: Rows = tuple(basis(name) for name in dict.fromkeys(_NAMES))


def tables_of(joint: JointFacts, job: JobFacts) -> Rows:
    """(table, row key) of everything that limits this joint or its people, each once; an empty key is a whole table.

    Passes bring the tables of welders' ranges and of base metals and fillers; heats those of certificates.
    """
    asked = asked_of(joint, job)
    found = [one for each in (*asked.of_fit_up.asked, *asked.of_examinations) for one in each.source.tables]
    if joint.passes:
        found += WELDERS
        found += [row for one in (joint.material_a, joint.material_b) if one for row in _of_material(one.name)]
        found += [row for one in joint.passes for row in _of_filler(one.filler_classification)]
    # Those that were read off the pieces fitted since a cut-out stand in the line, not the planned ones.
    heats = heats_of(open_case(joint, job))
    if any(heat and heat.material and has_limits(heat.material) for heat in heats):
        found.append(basis("certificates"))
    return tuple(sorted(set(found)))


@lru_cache(maxsize=4096)
def _of_material(name: str) -> Rows:
    return tuple(basis("materials", row) for row in table("materials").rows if is_same_material(row["material"], name))


@lru_cache(maxsize=4096)
def _of_filler(classification: str) -> Rows:
    wanted = classification.upper()
    return tuple(basis("fillers", row) for row in table("fillers").rows if row["classification"].upper() == wanted)
