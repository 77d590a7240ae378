"""A calculation as a paper: whose it is, what was asked, and the answer in words."""

from collections.abc import Mapping

from joints.cautions import cautions_for
from office.queries.calculator_page import answered_in_words, asked_rows
from office.queries.calculator_source import source_named
from office.queries.calculators import Setting
from records.models import User
from reports.calculation import CalculationData
from reports.data import TitleBlock
from rules.calculators.described import DESCRIBED
from rules.calculators.results import Line
from rules.compute import Calculator

NO_JOB = "without a job"


def calculation(calculator: Calculator, values: Mapping[str, str], within: Setting, *, by: User) -> CalculationData:
    """Return the paper's data; at most one query. Raises ComputeError where there is no answer.

    by   whose name stands in the title block
    """
    about = DESCRIBED[calculator.name]
    told = answered_in_words(calculator, values, within)
    answers = [row for line in told.lines for row in _rows(line, line in told.exact)]
    return CalculationData(
        title=_title(calculator, source_named(told.plain["source"]), within, by),
        about=about.about,
        asked=asked_rows(calculator, told.plain, within.units),
        answer=answers,
        steps=told.plain["steps"],
        source=told.source,
        drawing=told.sheet,
        notes=told.plain["notes"],
        cautions=cautions_for(about.caution),
    )


def _rows(line: Line, is_rounded: bool) -> list[tuple[str, str]]:
    """A line of the answer, with the figure of the data where its words round it; of a table each of its rows."""
    if line.rows:
        return [(f"{line.label}: {name}" if name else line.label, words) for name, words in line.rows]
    return [(line.label, f"{line.words} ({line.exact})" if is_rounded else line.words)]


def _title(calculator: Calculator, source: str, within: Setting, by: User) -> TitleBlock:
    job = within.job
    return TitleBlock(
        owner=(job.client or job.name) if job else "",
        job=f"{job.code} {job.name}" if job else NO_JOB,
        title=calculator.title,
        kind="calculation",
        number=calculator.name,
        issued=within.today.isoformat(),
        creator=by.get_full_name() or by.get_username(),
        edition=source,
        supplement="inch, °F, psi" if within.units == "US" else "mm, °C, kPa",
        status="computed",
    )
