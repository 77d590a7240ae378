"""Which tables of standards the judgement of a joint rests on."""

from rules.asked import asked_of
from rules.certificate import has_limits
from rules.facts import JobFacts, JointFacts
from rules.materials import is_same_material
from rules.ranges import TABLES
from rules.specification import owners_of
from rules.tables import basis, table

# A welder's range and its days rest on these whole.
WELDERS = tuple(dict.fromkeys((*(name for names in TABLES.values() for name in names), "continuity_qw322")))
Rows = tuple[tuple[str, str], ...]


def tables_of(joint: JointFacts, job: JobFacts) -> Rows:
    """(table, row key) of everything that limits this joint or its people, each once; an empty key is a whole table.

    Passes bring the tables of welders' ranges and of base metals and fillers; heats those of certificates.
    """
    asked = asked_of(joint, job, owners_of(joint, job))
    found = [one for each, _ in (*asked.of_fit_up, *asked.of_examinations) for one in each.source.tables]
    if joint.passes:
        found += [basis(name) for name in WELDERS]
        found += _of_materials(joint)
        found += _of_fillers(joint)
    heats = (joint.heat_a, joint.heat_b)
    if any(heat and heat.material and has_limits(heat.material) for heat in heats):
        found.append(basis("certificates"))
    return tuple(sorted(set(found)))


def _of_materials(joint: JointFacts) -> Rows:
    names = {one.name for one in (joint.material_a, joint.material_b) if one}
    rows = table("materials").rows
    return tuple(basis("materials", row) for row in rows for name in names if is_same_material(row["material"], name))


def _of_fillers(joint: JointFacts) -> Rows:
    names = {one.filler_classification.upper() for one in joint.passes}
    return tuple(basis("fillers", row) for row in table("fillers").rows if row["classification"].upper() in names)
