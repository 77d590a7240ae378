"""The title block of a paper, and who and what it is about."""

from dataclasses import dataclass
from datetime import date

from office.queries.scope import Scope
from records.clock import today_on
from records.models import Job, Sheet, User
from reports.data import TitleBlock

# Document kinds, with the letters that end a document's number where no drawing gives it one.
LETTERS = {
    "weld map": "WM",
    "weld log": "WL",
    "fit-up and pass log": "FP",
    "findings": "FN",
    "examinations": "EX",
    "lots": "LT",
    "hold and witness points": "HP",
    "welder register": "WR",
    "heat list": "HL",
    "spool release": "SR",
    "spool sheet": "SS",
    "what is missing": "MS",
    "progress": "PR",
    "turnover package": "TP",
}


@dataclass(frozen=True, slots=True)
class About:
    """What every paper of one printing shares: its scope, whose it is and the day."""

    scope: Scope
    creator: str
    issued: date

    @property
    def job(self) -> Job:
        """The job."""
        return self.scope.job

    def title(self, title: str, kind: str, *, part: str = "") -> TitleBlock:
        """Return the title block of a paper about the scope; `part` tells papers of one kind apart."""
        return self._block(title, kind, f"{self.job.code}-{LETTERS[kind]}{part}", self._supplement())

    def title_of_sheet(self, sheet: Sheet, count: int) -> TitleBlock:
        """Return the title block of a drawing sheet's weld map.

        count   sheets of the drawing
        """
        supplement = f"line {sheet.line.number}"
        shown = f"{sheet.number} of {count}" if sheet.number.isdigit() and int(sheet.number) <= count else sheet.number
        return self._block("Weld map", "weld map", sheet.drawing, supplement, sheet=shown, revision=sheet.revision)

    def _block(
        self, title: str, kind: str, number: str, supplement: str, *, sheet: str = "", revision: str = ""
    ) -> TitleBlock:
        job = self.job
        return TitleBlock(
            owner=job.client or job.name,
            job=f"{job.code} {job.name}",
            title=title,
            kind=kind,
            number=number,
            issued=self.issued.isoformat(),
            creator=self.creator,
            edition=f"{job.construction_code}, {job.edition}",
            supplement=supplement,
            sheet=sheet,
            revision=revision,
            status="as recorded",
        )

    def _supplement(self) -> str:
        line = self.scope.line
        if line and line.service:
            return f"{self.scope.words}, {line.service}"
        return self.scope.words


def about(scope: Scope, by: User | None = None) -> About:
    """Return what the papers of one printing share; today is the day on the job's site."""
    creator = (by.get_full_name() or by.get_username()) if by else "Spoolbook"
    return About(scope, creator, today_on(scope.job))
