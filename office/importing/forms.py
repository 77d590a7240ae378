"""Every sheet of the job workbook, by the name it is found under."""

import re
from difflib import SequenceMatcher

from office.importing import plan_sheets as plan
from office.importing import record_sheets as facts
from office.importing import shop_sheets as shop
from office.importing.columns import SheetForm, header

FORMS: tuple[SheetForm, ...] = (
    plan.JOB, plan.LINES, plan.SHEETS, plan.ROUTES, plan.MATERIALS, plan.COMPONENTS, plan.JOINTS, plan.PROCEDURES,
    plan.PROCEDURE_PASSES, plan.WELDERS, plan.QUALIFICATIONS, plan.CONTINUITY, plan.HEATS, plan.FILLER_LOTS,
    plan.EXAMINERS, plan.EXAM_PLANS, plan.SPECIFICATION, plan.HOLD_POINTS, facts.FIT_UPS, facts.PASSES, facts.WELD_LOG,
    facts.EXAMINATIONS, facts.REPAIRS, facts.RELEASES, facts.OVERRIDES, facts.ASSIGNMENTS, facts.PICKS,
    facts.ATTENDANCES,
    shop.PIECE_EVENTS, shop.SPOOL_STEPS, shop.LOT_MOVES,
    facts.CORRECTIONS, facts.WITHDRAWALS, facts.CONFIRMATIONS,
)  # fmt: skip
BY_NAME = {header(form.name): form for form in FORMS}
NAMES = tuple(form.name for form in FORMS)
# Above this likeness a sheet's name is taken for a slip of the pen, below for a sheet of the person's own.
_SLIP = 0.75
# What spreadsheet programs call a sheet that nobody named.
_UNNAMED = re.compile(r"(sheet|tabelle|feuil|hoja|foglio|planilha|blad|ark|arkusz|taul)\d+")


def slip_of(name: str) -> str:
    """Return the known sheet that an unknown name was probably meant to be, or an empty text."""
    if _UNNAMED.fullmatch(header(name)):
        return ""
    likeness, meant = max((SequenceMatcher(None, header(name), known).ratio(), known) for known in BY_NAME)
    return BY_NAME[meant].name if likeness >= _SLIP else ""
