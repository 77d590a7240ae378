"""The names by which a job's rows refer to each other, each shelf read once and when it is needed."""

from collections import defaultdict
from collections.abc import Iterable
from functools import cached_property
from uuid import UUID

from office.importing.job_sheet import setting_of
from records.models import ExamPlan, FillerLot, Heat, HoldPoint, Job, Line, Procedure, Spool, Stamp, User
from records.templatetags.spoolbook import person


class Shelf:
    """What rows of a job are called."""

    def __init__(self, job: Job) -> None:
        self.job, self.setting = job, setting_of(job)
        self._people: dict[int, str] = {}

    @cached_property
    def lines(self) -> dict[UUID, str]:
        """Numbers of lines."""
        return dict(Line.objects.filter(job=self.job).values_list("id", "number"))

    @cached_property
    def stamps(self) -> dict[UUID, str]:
        """Codes of stamps."""
        return dict(Stamp.objects.filter(job=self.job).values_list("id", "code"))

    @cached_property
    def heats(self) -> dict[UUID, str]:
        """Numbers of heats."""
        return {key: number for key, (number, _) in self._heats.items()}

    @cached_property
    def materials_of_heats(self) -> dict[UUID, str]:
        """Materials of heats."""
        return {key: material for key, (_, material) in self._heats.items()}

    @cached_property
    def _heats(self) -> dict[UUID, tuple[str, str]]:
        rows = Heat.objects.filter(job=self.job).values_list("id", "number", "material")
        return {key: (number, material) for key, number, material in rows}

    @cached_property
    def procedures(self) -> dict[UUID, str]:
        """Numbers of procedures."""
        return dict(Procedure.objects.filter(job=self.job).values_list("id", "number"))

    @cached_property
    def filler_lots(self) -> dict[UUID, str]:
        """Numbers of filler lots."""
        return dict(FillerLot.objects.filter(job=self.job).values_list("id", "number"))

    @cached_property
    def exam_plans(self) -> dict[UUID, str]:
        """Names of exam plans."""
        return dict(ExamPlan.objects.filter(job=self.job).values_list("id", "name"))

    @cached_property
    def hold_points(self) -> dict[UUID, str]:
        """Names of hold and witness points."""
        return dict(HoldPoint.objects.filter(job=self.job).values_list("id", "name"))

    @cached_property
    def spools(self) -> dict[UUID, tuple[UUID, str]]:
        """Line and mark of spools."""
        rows = Spool.objects.filter(job=self.job).values_list("id", "line_id", "mark")
        return {key: (line, mark) for key, line, mark in rows}

    @cached_property
    def lines_of_marks(self) -> dict[str, set[UUID]]:
        """The lines that have a spool of a mark."""
        found: dict[str, set[UUID]] = defaultdict(set)
        for line, mark in self.spools.values():
            found[mark].add(line)
        return found

    def people(self, keys: Iterable[int]) -> dict[int, str]:
        """Return people's names; one query for those not asked for before."""
        if missing := set(keys) - self._people.keys():
            self._people |= {user.pk: person(user) for user in User.objects.filter(pk__in=missing)}
        return self._people
