"""Lines whose exam plan asks less than the code does."""

from collections import defaultdict
from collections.abc import Sequence
from uuid import UUID

from django.db.models import Count

from records.facts import Library
from records.models import Job, Joint, Line
from records.papers import specification_of
from rules.facts import ExamRuleFacts
from rules.least_extent import Welds, below_code
from rules.procedure import bare_p
from rules.specification import narrowed, with_shares

_COLUMNS = ("line_id", "kind", "nps", "material_a", "material_b")


def below_code_of(job: Job, lines: Sequence[Line]) -> dict[UUID, tuple[str, ...]]:
    """Return, by line, a sentence for each share that is less than the code's least; four queries.

    Nothing is known of a job by another code than B31.3, nor of a line that has no joints.
    """
    if not lines or "B31.3" not in job.construction_code.upper():
        return {}
    known = {line.id: line for line in lines}
    library, specification = Library(job), specification_of(job)
    welds: dict[UUID, list[Welds]] = defaultdict(list)
    joints = Joint.objects.filter(line_id__in=list(known)).exclude(state="withdrawn").order_by()
    for key, kind, nps, a, b, count in joints.values_list(*_COLUMNS).annotate(count=Count("id")):
        line = known[key]
        owners = narrowed(specification, kind, line.fluid_service, line.severe_cyclic)
        rules: Sequence[ExamRuleFacts] = library.rules_for(line.exam_plan_id, kind, nps)
        sides = (library.material(name) for name in (a, b))
        p_numbers = frozenset(bare_p(one.p_number) for one in sides if one and one.p_number)
        welds[key].append(Welds(kind, count, p_numbers, with_shares(rules, owners)))
    found = {
        key: below_code(line.fluid_service, line.severe_cyclic, line.elevated_temperature, welds[key])
        for key, line in known.items()
        if key in welds
    }
    return {key: sentences for key, sentences in found.items() if sentences}
