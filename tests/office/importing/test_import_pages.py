"""The pages of imports: sending in, the preview, applying, and what comes of a job that changed meanwhile."""

from pathlib import Path

import pytest
from django.test import Client
from django.urls import reverse

from office.actions.apply_workbook import KIND as APPLY
from office.actions.check_workbook import KIND as CHECK
from office.actions.sent_file import clean_name
from office.queries.imports import all_faults
from records import work as works
from records.models import FitUp, Heat, Job, Joint, JournalEntry, Line, Pass, User, Work
from records.verify import first_bad
from tests.builders import MembershipBuilder, UserBuilder
from tests.conftest import SignIn
from tests.office.bad_input import FAULTS, Fault
from tests.office.importing.pages import applied, do, page_of, send, sent
from tests.office.workbooks import as_xlsx, change, changed_sheets, clean_sheets, row_of, small_workbook

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("storage")]


def test_a_small_workbook_is_checked_at_once_and_nothing_is_written(desk: Client, small_job: Job) -> None:
    work = Work.objects.get(id=send(desk, small_job, small_workbook())["Location"].rstrip("/").rpartition("/")[2])
    assert (work.kind, work.state, work.tries) == (CHECK, "done", 1)
    assert not FitUp.objects.exists() and not Pass.objects.exists()


def test_the_preview_counts_each_sheet_and_shows_its_first_rows(desk: Client, small_job: Job) -> None:
    work = sent(desk, small_job, small_workbook())
    by_sheet = {one["sheet"]: one for one in work.result["counts"]}
    # By hand, from the rows of the clean workbook: five fit-ups are new; the plan is what made the job.
    assert [by_sheet["Fit-ups"][fate] for fate in ("new", "changed", "unchanged", "refused")] == [5, 0, 0, 0]
    assert by_sheet["Joints"]["new"] == 0 and by_sheet["Joints"]["unchanged"] == len(clean_sheets()["Joints"]) - 1
    shown = desk.get(page_of(work)).content.decode()
    assert "Nothing is written yet" in shown and "Row 2: drawing ISO-1" in shown
    assert '<button class="main" type="submit">Apply</button>' in shown


def test_all_faults_are_shown_in_one_pass_with_place_value_and_what_is_accepted(desk: Client, small_job: Job) -> None:
    bad = small_workbook(
        change("Joints", 2, "kind", "glued"), change("Fit-ups", 2, "gap", "tight"), change("Passes", 2, "stamp", "Z9")
    )
    work = sent(desk, small_job, bad)
    shown = desk.get(page_of(work)).content.decode()
    assert work.result["faults"] == 3 and "3 faults" in shown
    for said in ("Joints!", "glued", "Fit-ups!", "tight", "Passes!", "Z9", "socket"):
        assert said in shown
    assert "Apply</button>" not in shown
    assert desk.post(page_of(work), {"reason": "all the same"}).status_code == 422
    assert not Work.objects.filter(kind=APPLY).exists()


@pytest.mark.parametrize("fault", FAULTS, ids=lambda one: one.name)
def test_every_bad_workbook_is_named_on_the_page_and_nothing_written(
    fault: Fault, desk: Client, small_job: Job
) -> None:
    before = JournalEntry.objects.count()
    answer = send(desk, small_job, fault.content, fault.file_name)
    if answer.status_code == 302:
        work = Work.objects.get(id=answer["Location"].rstrip("/").rpartition("/")[2])
        answer = desk.get(page_of(do(work) if work.state == "queued" else work))
        assert "Apply</button>" not in answer.content.decode()
    else:
        assert answer.status_code == 422
    shown = answer.content.decode()
    assert fault.word.casefold() in shown.casefold() and fault.sheet in shown
    assert not fault.cell or f"{fault.sheet}!{fault.cell}" in shown
    assert JournalEntry.objects.count() == before


def test_many_faults_are_paged(desk: Client, small_job: Job) -> None:
    header = ["line", "fluid service", "service", "NPS", "schedule", "material"]
    rows = ([f"L-{number}", f"Fizzy {number}", "water", "2", "80", "A106 B"] for number in range(150))
    sheets = {"Lines": [header, *rows]}
    work = sent(desk, small_job, as_xlsx(sheets))
    first, last = (desk.get(page_of(work), {"page": page}).content.decode() for page in ("1", "2"))
    assert "150 faults: 1 to 100 of 150" in first and "Lines!B101" in first and "Lines!B102" not in first
    assert "150 faults: 101 to 150 of 150" in last and "Lines!B151" in last
    for odd in ("0", "-1", "99999", "x", "²", "9" * 30):
        assert desk.get(page_of(work), {"page": odd}).status_code == 200


def test_the_same_fault_in_many_cells_stands_once_with_the_first_of_them(desk: Client, small_job: Job) -> None:
    header = ["line", "fluid service", "service", "NPS", "schedule", "material"]
    rows = [[f"L-{number}", "Fizzy", "water", "2", "80", "A106 B"] for number in range(10)]
    rows[3][1] = "Flat"
    work = sent(desk, small_job, as_xlsx({"Lines": [header, *rows]}))
    shown = desk.get(page_of(work)).content.decode()
    assert "10 faults; the same one in several cells stands once" in shown
    assert "Lines!B2, B3, B4, B6 and 5 more" in shown and "Lines!B5<" in shown
    # The list and the remarks still have each cell.
    assert len(list(all_faults(work.result))) == 10
    # A check that kept each alone, before those alike were gathered.
    Work.objects.filter(id=work.id).update(
        result={name: kept for name, kept in work.result.items() if not name.startswith("alike")}
    )
    assert "Lines!B11<" in desk.get(page_of(work)).content.decode()


def test_applying_writes_all_of_it_in_the_engineers_name(desk: Client, small_job: Job, planner: User) -> None:
    work = applied(desk, sent(desk, small_job, small_workbook()), reason="")
    assert work.state == "done" and FitUp.objects.filter(recorded_by=planner).count() == 5
    assert first_bad(small_job) is None
    shown = desk.get(page_of(work)).content.decode()
    assert "The workbook is in the job." in shown and work.result["head"] in shown


def test_the_workbook_that_was_applied_says_nothing_new(desk: Client, small_job: Job) -> None:
    applied(desk, sent(desk, small_job, small_workbook()), reason="")
    again = sent(desk, small_job, small_workbook())
    shown = desk.get(page_of(again)).content.decode()
    assert not again.result["is_changed"] and "there is nothing to write" in shown and "Apply</button>" not in shown


def test_applying_twice_writes_once(desk: Client, small_job: Job) -> None:
    check = sent(desk, small_job, small_workbook())
    first, second = (desk.post(page_of(check))["Location"] for _ in range(2))
    assert first == second
    work = do(Work.objects.get(kind=APPLY))
    entries = JournalEntry.objects.count()
    assert desk.post(page_of(check))["Location"] == first
    # A worker that was killed after the writing and before its last word: the next one finds what was written.
    Work.objects.filter(id=work.id).update(state="queued")
    assert do(work).result == work.result
    assert JournalEntry.objects.count() == entries


def test_the_entries_of_an_import_are_counted(desk: Client, small_job: Job) -> None:
    before = JournalEntry.objects.filter(job=small_job).count()
    work = applied(desk, sent(desk, small_job, small_workbook()), reason="")
    assert work.result["entries"] == JournalEntry.objects.filter(job=small_job).count() - before
    assert work.result["head"].startswith(f"{before + work.result['entries']}:")


def test_a_change_of_the_plan_asks_why_and_the_journal_keeps_it(desk: Client, small_job: Job) -> None:
    row = row_of("Joints", joint="1")
    check = sent(desk, small_job, small_workbook(change("Joints", row, "location", "field")))
    refused = desk.post(page_of(check), {"reason": "  "})
    assert refused.status_code == 422 and 'href="#reason"' in refused.content.decode()
    assert "location shop -&gt; field" in refused.content.decode()
    applied(desk, check, "Moved to the rack")
    assert Joint.objects.get(job=small_job, number="1").location == "field"
    assert JournalEntry.objects.filter(kind="joint", reason="import small.xlsx: Moved to the rack").count() == 1


def test_a_job_that_changed_meanwhile_is_previewed_again_and_nothing_written(desk: Client, small_job: Job) -> None:
    check = sent(desk, small_job, small_workbook(change("Joints", row_of("Joints", joint="1"), "location", "field")))
    Joint.objects.filter(job=small_job, number="1").update(location="field-fit")
    work = applied(desk, check)
    assert not FitUp.objects.exists() and Joint.objects.get(job=small_job, number="1").location == "field-fit"
    shown = desk.get(page_of(work)).content.decode()
    assert "the job changed since the preview" in shown
    again = Work.objects.get(id=work.result["again"])
    assert "location field-fit -&gt; field" in desk.get(page_of(again)).content.decode()
    applied(desk, again)
    assert Joint.objects.get(job=small_job, number="1").location == "field"


def test_what_the_job_learnt_elsewhere_does_not_hold_an_import_up(desk: Client, small_job: Job) -> None:
    check = sent(desk, small_job, small_workbook())
    Line.objects.create(job=small_job, number="L-99")
    assert "again" not in applied(desk, check, "").result and FitUp.objects.count() == 5


def test_a_worker_that_lost_the_row_writes_nothing(desk: Client, small_job: Job) -> None:
    check = sent(desk, small_job, small_workbook())
    work = Work.objects.get(id=desk.post(page_of(check))["Location"].rstrip("/").rpartition("/")[2])
    taken = works.take(work.id)
    assert taken is not None
    Work.objects.filter(id=work.id).update(tries=9)
    with pytest.raises(works.Lost):
        from_worker(taken)
    assert not FitUp.objects.exists()


def from_worker(work: Work) -> None:
    from office.actions.apply_workbook import apply_asked  # noqa: PLC0415

    apply_asked(work, lambda step, done=0, total=0: None)


def test_an_administrator_imports_the_plan_and_is_told_what_it_takes_for_records(
    small_job: Job, sign_in: SignIn
) -> None:
    user = UserBuilder(username="keeper")
    MembershipBuilder(job=small_job, user=user, role="administrator")
    person = sign_in(user)
    work = sent(person, small_job, small_workbook())
    assert work.state == "failed" and "may not record a fit-up" in desk_words(person, work)
    heats = {"Heats": [["heat", "material"], ["H-77", "A106 B"]]}
    assert applied(person, sent(person, small_job, as_xlsx(heats)), "").state == "done"
    assert Heat.objects.filter(job=small_job, number="H-77").exists()


def desk_words(person: Client, work: Work) -> str:
    return person.get(page_of(work)).content.decode()


def test_a_large_workbook_waits_for_a_worker_and_tells_how_far_it_is(
    desk: Client, small_job: Job, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("office.actions.sent_file.SMALL_BYTES", 0)
    work = Work.objects.get(id=send(desk, small_job, small_workbook())["Location"].rstrip("/").rpartition("/")[2])
    assert work.state == "queued"
    assert "waits for its turn" in desk.get(page_of(work)).content.decode()
    Work.objects.filter(id=work.id).update(state="running", step="Reading Joints", done=3, total=9)
    part = desk.get(page_of(work), headers={"HX-Request": "true"})
    shown = part.content.decode()
    assert "<html" not in shown and '<progress max="9" value="3"' in shown and 'hx-trigger="every 2s"' in shown
    Work.objects.filter(id=work.id).update(state="done", result={})
    assert desk.get(page_of(work), headers={"HX-Request": "true"})["HX-Refresh"] == "true"


def test_a_single_csv_is_the_sheet_it_is_named_after(desk: Client, small_job: Job) -> None:
    check = sent(desk, small_job, b"heat,material\nH-88,A106 B\n", "Heats.csv")
    assert check.result["is_changed"]
    applied(desk, check, "")
    assert Heat.objects.filter(job=small_job, number="H-88").exists()


def test_a_form_without_a_file_or_with_an_empty_one_is_sent_back(desk: Client, small_job: Job) -> None:
    answer = desk.post(reverse("imports", args=[small_job.code]))
    assert answer.status_code == 422 and "No file was chosen." in answer.content.decode()
    assert "The file is empty." in send(desk, small_job, b"").content.decode()
    assert not Work.objects.exists()


def test_the_kept_file_is_named_by_us_and_stays_in_its_folder(desk: Client, small_job: Job, storage: Path) -> None:
    sent(desk, small_job, small_workbook(), "../../../etc/passwd; rm.xlsx")
    kept = {path.relative_to(storage).parts[0] for path in storage.rglob("*") if path.is_file()}
    assert kept == {"imports"}


@pytest.mark.parametrize(
    ("sent_as", "kept_as"),
    [
        ("plan 3.xlsx", "plan 3.xlsx"),
        ("../../etc/passwd", "passwd"),
        ("C:\\jobs\\plan.xlsx", "plan.xlsx"),
        ("a\x00b\n<i>.csv", "a_b_i_.csv"),
        ("..", "workbook"),
        ("x" * 400 + ".xlsx", "x" * 100 + ".xlsx"),
    ],
)
def test_a_name_is_cleaned_of_paths_and_odd_letters(sent_as: str, kept_as: str) -> None:
    assert clean_name(sent_as) == kept_as


def test_the_imports_are_listed_with_what_came_of_them(desk: Client, small_job: Job) -> None:
    sent(desk, small_job, small_workbook(change("Fit-ups", 2, "gap", "tight")), "first.xlsx")
    applied(desk, sent(desk, small_job, small_workbook(), "second.xlsx"), "")
    shown = desk.get(reverse("imports", args=[small_job.code])).content.decode()
    assert "Check of first.xlsx" in shown and "1 fault" in shown and "Import of second.xlsx" in shown


def test_what_is_shown_of_a_workbook_is_escaped(desk: Client, small_job: Job) -> None:
    sheets = changed_sheets([change("Joints", 2, "kind", "<script>alert(1)</script>")])
    assert "<script>alert" not in desk.get(page_of(sent(desk, small_job, as_xlsx(sheets)))).content.decode()
