"""Which tables of standards the judgement of a joint rests on."""

from rules.certificate import has_limits
from rules.examination import requirements as of_examinations
from rules.facts import JobFacts, JointFacts
from rules.fit_up import requirements as of_fit_up
from rules.materials import is_same_material
from rules.ranges import TABLES
from rules.tables import basis, table

Rows = tuple[tuple[str, str], ...]


def tables_of(joint: JointFacts, job: JobFacts) -> Rows:
    """(table, row key) of everything that limits this joint or its people, each once; an empty key is a whole table.

    Passes bring the tables of welders' ranges and of base metals and fillers; heats those of certificates.
    """
    asked = [*of_fit_up(joint, job), *of_examinations(joint, job)]
    found = [one for each in asked for one in each.source.tables]
    if joint.passes:
        found += [basis(name) for names in TABLES.values() for name in names]
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
