"""Records named by their entry, withdrawn by a workbook, written in turns; and cells that say that there is nothing."""

from pathlib import Path

import pytest

from office.importing.workbook import Outcome
from records.models import Finding, FitUp, Job, Joint, Override, Pass, Release, Withdrawal
from records.verify import first_bad
from tests.office.importing.books import CODE, import_sheets
from tests.office.workbooks import Sheets, change, changed_sheets, clean_sheets

pytestmark = pytest.mark.django_db
_SIGNED: list[object] = ["2026-09-22", "Examiner One", "Written on the wrong joint"]
_NAMING: list[object] = ["record", "drawing", "sheet", "joint", "attempt", "entry", "order", "method"]


def _with_column(sheets: Sheets, sheet: str, name: str, cells: dict[int, object]) -> Sheets:
    """A sheet with one more column, its cells by row as the spreadsheet shows it."""
    for number, row in enumerate(sheets[sheet], start=1):
        row.append(name if number == 1 else cells.get(number))
    return sheets


def _withdrawals(*rows: list[object]) -> Sheets:
    return {"Withdrawals": [[*_NAMING, "date", "by", "reason"], *([*row, *_SIGNED] for row in rows)]}


def _two_fit_ups(entries: tuple[object, object] = ("first", "second")) -> Sheets:
    """The fit-up of joint 1 and one more of the same day, which only their entries tell apart."""
    sheets = clean_sheets()
    twin = list(sheets["Fit-ups"][1])
    sheets["Fit-ups"].append(twin)
    return _with_column(sheets, "Fit-ups", "entry", {2: entries[0], len(sheets["Fit-ups"]): entries[1]})


def _place(outcome: Outcome, place: str) -> bool:
    return any(fault.startswith(place) for fault in outcome.faults)


def test_two_records_of_one_day_are_told_apart_by_their_entries(tmp_path: Path) -> None:
    assert _place(import_sheets(_two_fit_ups((None, None)), tmp_path), "Fit-ups!")
    assert import_sheets(_two_fit_ups(), tmp_path).faults == []
    assert FitUp.objects.filter(joint__number="1").count() == 2


def test_the_same_entry_twice_is_refused_at_its_cell(tmp_path: Path) -> None:
    sheets = _with_column(clean_sheets(), "Passes", "entry", {2: "7", 3: "7"})
    outcome = import_sheets(sheets, tmp_path)
    assert any("the entry 7 stands in a row before" in fault for fault in outcome.faults)
    assert not Job.objects.exists()


def test_a_record_is_withdrawn_with_the_reason_who_gave_it_and_when(tmp_path: Path) -> None:
    sheets = _two_fit_ups() | _withdrawals(["Fit-ups", "ISO-1", "1", "1", "0", "second", None, None])
    outcome = import_sheets(sheets, tmp_path)
    assert outcome.faults == [] and outcome.counts["Withdrawals"].new == 1
    withdrawal = Withdrawal.objects.get()
    assert withdrawal.reason == "Written on the wrong joint (Examiner One, 2026-09-22)"
    assert withdrawal.kind == "fitup" and withdrawal.record == FitUp.objects.filter(joint__number="1").latest("id").pk
    assert first_bad(Job.objects.get(code=CODE), head=outcome.head) is None


def test_a_withdrawal_without_an_entry_again_changes_nothing_though_another_such_record_stands(tmp_path: Path) -> None:
    # Interfaces: importing the same workbook again changes nothing and says so.
    gone = _withdrawals(["Examinations", "ISO-1", "1", "1", "0", None, None, "VT"])
    first = clean_sheets() | gone
    import_sheets(first, tmp_path)
    again = import_sheets(first, tmp_path)
    assert again.faults == [] and not again.is_changed and again.counts["Withdrawals"].unchanged == 1
    later = clean_sheets() | gone
    head, *rows = later["Examinations"]
    look = list(next(row for row in rows if str(row[head.index("joint")]) == "1" and row[head.index("method")] == "VT"))
    look[head.index("date")] = "2026-09-21"
    later["Examinations"] = [head, *rows, look]
    outcome = import_sheets(later, tmp_path)
    assert outcome.faults == [] and outcome.counts["Examinations"].new == 1
    assert outcome.counts["Withdrawals"].unchanged == 1
    assert Withdrawal.objects.count() == 1


def test_a_record_corrected_and_then_withdrawn_is_met_again(tmp_path: Path) -> None:
    row = {
        "record": "Fit-ups", "drawing": "ISO-1", "sheet": "1", "joint": "1", "column": "gap", "value": "3/32",
        "date": "2026-09-22", "by": "Examiner One", "reason": "Misread",
    }  # fmt: skip
    sheets = clean_sheets() | {"Corrections": [list(row), list(row.values())]}
    sheets |= _withdrawals(["Fit-ups", "ISO-1", "1", "1", "0", None, None, None])
    import_sheets(sheets, tmp_path)
    again = import_sheets(sheets, tmp_path)
    assert again.faults == [] and not again.is_changed


def test_the_same_withdrawal_again_changes_nothing(tmp_path: Path) -> None:
    sheets = _two_fit_ups() | _withdrawals(
        ["Fit-ups", "ISO-1", "1", "1", "0", "second", None, None], ["Joints", "ISO-1", "1", "6", None, None, None, None]
    )
    import_sheets(sheets, tmp_path)
    again = import_sheets(sheets, tmp_path)
    assert again.faults == [] and not again.is_changed
    assert again.counts["Withdrawals"].unchanged == 2


def test_a_joint_that_is_no_more_is_withdrawn(tmp_path: Path) -> None:
    import_sheets(clean_sheets() | _withdrawals(["Joints", "ISO-1", "1", "6", None, None, None, None]), tmp_path)
    assert Joint.objects.get(number="6").state == "withdrawn"


def test_a_pass_and_an_examination_are_withdrawn_by_order_and_method(tmp_path: Path) -> None:
    sheets = clean_sheets() | _withdrawals(
        ["Passes", "ISO-1", "1", "1", "0", None, 2, None], ["Examinations", "ISO-1", "1", "3", "0", None, None, "RT"]
    )
    assert import_sheets(sheets, tmp_path).faults == []
    assert set(Withdrawal.objects.values_list("kind", "joint__number")) == {("pass", "1"), ("examination", "3")}


@pytest.mark.parametrize(
    ("row", "place", "word"),
    [
        (["Fit-ups", "ISO-1", "1", "6", "0", None, None, None], "D2", "no such record"),
        (["Fit-ups", "ISO-1", "1", "1", "0", "9", None, None], "F2", "has the entry 9"),
        (["Passes", "ISO-1", "1", "1", "0", None, None, None], "G2", "order is blank"),
        (["Heats", "ISO-1", "1", "1", "0", None, None, None], "A2", "is no record sheet"),
        (["Releases", "ISO-1", "1", "9", "0", None, None, None], "D2", "no joint"),
    ],
)
def test_a_withdrawal_of_what_is_not_there_is_refused_at_its_cell(
    row: list[object], place: str, word: str, tmp_path: Path
) -> None:
    outcome = import_sheets(clean_sheets() | _withdrawals(row), tmp_path)
    assert any(fault.startswith(f"Withdrawals!{place}:") and word in fault for fault in outcome.faults), outcome.faults
    assert not Job.objects.exists()


def test_several_columns_for_one_reason_make_one_correction(tmp_path: Path) -> None:
    head = ["record", "drawing", "sheet", "joint", "column", "value", "date", "by", "reason"]
    named: list[object] = ["Releases", "ISO-1", "1", "1"]
    rows = [[*named, column, value, *_SIGNED] for column, value in (("by", "Examiner Two"), ("remark", "see log"))]
    outcome = import_sheets(clean_sheets() | {"Corrections": [head, *rows]}, tmp_path)
    assert outcome.faults == [] and outcome.counts["Corrections"].new == 2
    corrected = Release.objects.get(replaces__isnull=False)
    assert (corrected.by, corrected.remark) == ("Examiner Two", "see log")


def test_an_override_does_not_cover_what_was_written_in_a_later_turn(tmp_path: Path) -> None:
    # Two passes at 180 A, over the 130 A of the procedure; the override was written between them.
    sheets = changed_sheets([change("Passes", 2, "amps", 180), change("Passes", 3, "amps", 180)])
    _with_column(sheets, "Passes", "turn", {3: 1})
    head = ["drawing", "sheet", "joint", "code", "date", "by", "reason"]
    sheets["Overrides"] = [head, ["ISO-1", "1", "1", "pass-out-of-range", "2026-09-02", "Examiner One", "Seen"]]
    assert import_sheets(sheets, tmp_path).faults == []
    found = Finding.objects.filter(code="pass-out-of-range").order_by("id")
    covered = {Pass.objects.get(pk=one.record).order: one.override_id is not None for one in found}
    assert covered == {1: True, 2: False}
    assert Override.objects.count() == 1


def test_none_says_that_a_joint_has_no_heat_although_its_piece_has_one(tmp_path: Path) -> None:
    sheets = clean_sheets()
    sheets["Components"] = [
        ["drawing", "sheet", "piece", "kind", "NPS", "schedule", "class", "material", "heat"],
        ["ISO-1", "1", "7", "coupling", "2", None, "3000", "A105", "H-2"],
    ]
    wanted = {"heat B": "none", "material B": "none", "class": "none", "piece B": "7"}
    for name, value in wanted.items():
        if name in sheets["Joints"][0]:
            sheets["Joints"][1][sheets["Joints"][0].index(name)] = value
        else:
            _with_column(sheets, "Joints", name, {2: value, 3: value})
    heat = sheets["Joints"][0].index("heat B")
    sheets["Joints"][2][heat] = None
    outcome = import_sheets(sheets, tmp_path)
    assert outcome.faults == [] and not [one for one in outcome.notices if "none" in one]
    nothing, taken = Joint.objects.get(number="1"), Joint.objects.get(number="2")
    assert (nothing.heat_b, nothing.material_b, nothing.socket_class) == (None, "", "")
    assert taken.heat_b is not None and taken.heat_b.number == "H-2"


def test_a_spool_with_a_comma_stands_in_quotes_and_one_of_another_line_with_that(tmp_path: Path) -> None:
    sheets = clean_sheets()
    sheets["Lines"].append(["L-200", *sheets["Lines"][1][1:]])
    sheets["Sheets"] = [
        sheets["Sheets"][0], ["L-100", "ISO-1", "1", "2", '"A, 1", "all", SP-1'], ["L-200", "ISO-2", "1", "0", "SP-1"]
    ]  # fmt: skip
    _with_column(sheets, "Joints", "spool", {2: "A, 1", 3: "all", 4: "SP-1"})
    _with_column(sheets, "Joints", "spool B", {4: "L-200/SP-1"})
    assert import_sheets(sheets, tmp_path).faults == []
    far = Joint.objects.get(number="3").spool_b
    assert far is not None and (far.line.number, far.mark) == ("L-200", "SP-1")
    assert set(Joint.objects.filter(spool__isnull=False).values_list("spool__mark", flat=True)) == {
        "A, 1",
        "all",
        "SP-1",
    }


def test_a_text_like_a_formula_error_comes_in_quotes(tmp_path: Path) -> None:
    import_sheets(changed_sheets([change("Lines", 2, "service", '"#N/A"')]), tmp_path)
    assert Joint.objects.all()[0].line.service == "#N/A"


def test_no_limit_of_repairs_is_none(tmp_path: Path) -> None:
    sheets = clean_sheets()
    import_sheets(_with_column(sheets, "Job", "repairs max", {2: "none"}), tmp_path)
    assert Job.objects.get().repairs_max is None


def test_a_job_names_its_edition_of_section_ix(tmp_path: Path) -> None:
    sheets = _with_column(clean_sheets(), "Job", "Section IX edition", {2: "2010"})
    assert import_sheets(sheets, tmp_path).faults == []
    assert Job.objects.get().welders_edition == "2010"
    wrong = _with_column(clean_sheets(), "Job", "Section IX edition", {2: "1950"})
    (fault,) = import_sheets(wrong, tmp_path).faults
    assert all(word in str(fault) for word in ("Job!", "1950", "older", "2010", "current"))


@pytest.mark.parametrize("cell", ["1996", 1996])
def test_a_job_names_its_edition_of_the_flanges(tmp_path: Path, cell: object) -> None:
    sheets = _with_column(clean_sheets(), "Job", "flanges edition", {2: cell})
    assert import_sheets(sheets, tmp_path).faults == []
    assert Job.objects.get().flanges_edition == "1996"
    assert not import_sheets(sheets, tmp_path).is_changed
    (fault,) = import_sheets(_with_column(clean_sheets(), "Job", "flanges edition", {2: "1988"}), tmp_path).faults
    assert all(word in str(fault) for word in ("Job!", "1988", "1996", "2003"))


def test_a_job_says_how_certificates_and_rejects_are_read(tmp_path: Path) -> None:
    sheets = _with_column(clean_sheets(), "Job", "certificates edition", {2: "older"})
    sheets = _with_column(sheets, "Job", "rejects in first sample", {2: "two in all"})
    sheets = _with_column(sheets, "Job", "certificates rounding", {2: "as reported"})
    assert import_sheets(sheets, tmp_path).faults == []
    job = Job.objects.get()
    assert (job.certificates_edition, job.certificates_rounding, job.first_batch) == ("older", "reported", "all")
    wrong = _with_column(clean_sheets(), "Job", "certificates edition", {2: "1950"})
    (fault,) = import_sheets(wrong, tmp_path).faults
    assert all(word in str(fault) for word in ("Job!", "1950", "older", "newer"))


def _looks(sheets: Sheets, *days: str) -> Sheets:
    """The sheets with the VT of joint 1 as it is, and again on other days; without the first where "" leads."""
    head, *rows = sheets["Examinations"]
    joint, method, date = (head.index(name) for name in ("joint", "method", "date"))
    [look] = [row for row in rows if str(row[joint]) == "1" and row[method] == "VT"]
    more = [[*look[:date], day, *look[date + 1 :]] for day in days if day]
    rest = [row for row in rows if row is not look or "" not in days]
    return sheets | {"Examinations": [head, *rest, *more]}


_VT_GONE: list[object] = ["Examinations", "ISO-1", "1", "1", "0", None, None, "VT"]


def test_a_withdrawal_worded_like_one_before_is_of_the_record_that_its_workbook_lists(tmp_path: Path) -> None:
    # Common practice, no source: a later workbook has what is new, and the same person says the same of it.
    gone = _withdrawals(_VT_GONE)
    import_sheets(clean_sheets() | gone, tmp_path)
    later = _looks(clean_sheets(), "", "2026-09-21")
    outcome = import_sheets(later | gone, tmp_path)
    assert outcome.faults == []
    assert outcome.counts["Withdrawals"].new == 1 and Withdrawal.objects.count() == 2
    for sheets in (later, clean_sheets(), _looks(clean_sheets(), "2026-09-21")):
        again = import_sheets(sheets | gone, tmp_path)
        assert again.faults == [] and not again.is_changed, again.counts


def test_of_two_withdrawals_worded_alike_in_one_workbook_the_second_names_its_entry(tmp_path: Path) -> None:
    import_sheets(clean_sheets() | _withdrawals(_VT_GONE), tmp_path)
    both = _looks(clean_sheets(), "2026-09-21")
    assert _place(import_sheets(both | _withdrawals(_VT_GONE, _VT_GONE), tmp_path), "Withdrawals!")
    both = _with_column(both, "Examinations", "entry", {len(both["Examinations"]): "b"})
    both |= _withdrawals(_VT_GONE, [*_VT_GONE[:5], "b", None, None])
    outcome = import_sheets(both, tmp_path)
    assert outcome.faults == []
    assert (outcome.counts["Withdrawals"].unchanged, outcome.counts["Withdrawals"].new) == (1, 1)
    again = import_sheets(both, tmp_path)
    assert again.faults == [] and not again.is_changed and not any("withdrawn before" in one for one in again.notices)


def test_a_withdrawal_met_again_tells_that_another_such_record_stands(tmp_path: Path) -> None:
    gone = _withdrawals(_VT_GONE)
    import_sheets(clean_sheets() | gone, tmp_path)
    import_sheets(_looks(clean_sheets(), "2026-09-21"), tmp_path)
    alone = import_sheets({"Job": clean_sheets()["Job"]} | gone, tmp_path)
    assert not alone.is_changed and Withdrawal.objects.count() == 1
    assert [one for one in alone.notices if "withdrawn before" in one] == [
        "Withdrawals!K2: was withdrawn before; another one stands, which its entry would name"
    ]
    # What was made after the withdrawal was given can't be meant.
    later = import_sheets(_looks(clean_sheets(), "2026-09-21", "2026-09-23") | gone, tmp_path)
    assert later.counts["Withdrawals"].unchanged == 1
