"""Confirming tables, withdrawing that, and a job that releases only by confirmed ones."""

from datetime import date, timedelta
from uuid import uuid4

import pytest
from django.utils import timezone

from inspection.actions.confirm_tables import confirm_tables
from inspection.actions.demand_confirmation import demand_confirmation
from inspection.actions.release_joints import release_joints
from inspection.actions.withdraw_confirmations import withdraw_confirmations
from inspection.queries.unconfirmed import unconfirmed_of
from records.confirmed import confirmed_on
from records.models import Confirmation, Finding, Job, Joint, JournalEntry, Release, Stamp, User
from records.models.base import new_id
from records.rebuild import differences
from records.refusals import Implausible, NotAllowed, NotReleasable, RecordClash
from rules.tables import table_names
from tests.conftest import SignIn
from tests.inspection.test_release_joints import examined, release, welded

__all__ = ["welded"]  # the joint of the releases


def confirmation(table: str = "pipe", row: str = "", **more: object) -> Confirmation:
    values = {"id": new_id(), "table": table, "row": row, "edition": "2018", "by": "Edda Mroz"}
    return Confirmation(**values | {"done_on": date(2026, 9, 1)} | more)


def confirm_all(job: Job, by: User) -> None:
    confirm_tables([confirmation(name) for name in table_names()], job=job, by=by)


def entries(job: Job) -> int:
    return JournalEntry.objects.filter(job=job, kind="confirmation").count()


def test_a_confirmation_stands_for_its_table_and_each_of_its_rows(job: Job, engineer: User) -> None:
    confirm_tables([confirmation(), confirmation("fillers", "ER70S-6")], job=job, by=engineer)
    found = confirmed_on(job)
    assert found.words([("pipe", "1, 25, 80")]) == "confirmed by Edda Mroz, 2026-09-01, edition 2018"
    assert found.words([("fillers", "ER70S-6")]).startswith("confirmed by")
    assert found.words([("fillers", "E7018")]) == found.words([("fillers", "")]) == "unconfirmed"
    assert found.words([("pipe", ""), ("materials", "")]) == "unconfirmed"
    assert found.words([]) == ""
    assert entries(job) == 2


def test_withdrawing_it_is_a_record_and_ends_it(job: Job, engineer: User) -> None:
    [one] = confirm_tables([confirmation()], job=job, by=engineer)
    draft = {"replaces": one, "done_on": date(2026, 9, 2), "by": "Edda Mroz", "reason": "Read the wrong edition"}
    key = new_id()
    [first] = withdraw_confirmations([Confirmation(id=key, **draft)], job=job, by=engineer)
    assert (first.table, first.is_withdrawn) == ("pipe", True)
    assert confirmed_on(job).standing == {}
    [again] = withdraw_confirmations([Confirmation(id=key, **draft)], job=job, by=engineer)
    assert again.pk == first.pk and entries(job) == 2
    with pytest.raises(RecordClash):
        withdraw_confirmations([Confirmation(id=new_id(), **draft)], job=job, by=engineer)
    assert Confirmation.objects.count() == 2


def test_it_needs_a_reason_and_a_confirmation_of_this_job(
    job: Job, other_job: Job, engineer: User, visitor: User
) -> None:
    [one] = confirm_tables([confirmation()], job=job, by=engineer)
    told = {"done_on": date(2026, 9, 2), "by": "Edda Mroz"}
    with pytest.raises(Implausible, match="why"):
        withdraw_confirmations([Confirmation(id=new_id(), replaces=one, reason=" ", **told)], job=job, by=engineer)
    with pytest.raises(Implausible, match="no such confirmation"):
        foreign = Confirmation(id=new_id(), replaces=one, reason="Not mine", **told)
        withdraw_confirmations([foreign], job=other_job, by=visitor)
    assert entries(job) == 1 and not confirmed_on(job).missing([("pipe", "")])


def test_only_an_engineer_confirms_withdraws_and_demands(job: Job, engineer: User, inspector: User) -> None:
    [one] = confirm_tables([confirmation()], job=job, by=engineer)
    with pytest.raises(NotAllowed):
        confirm_tables([confirmation("fillers")], job=job, by=inspector)
    with pytest.raises(NotAllowed):
        told = {"replaces": one, "reason": "Wrong", "done_on": date(2026, 9, 2), "by": "I"}
        withdraw_confirmations([Confirmation(id=new_id(), **told)], job=job, by=inspector)
    with pytest.raises(NotAllowed):
        demand_confirmation(job, True, by=inspector)
    job.refresh_from_db()
    assert (entries(job), job.confirmation_demanded) == (1, False)


def test_the_setting_is_journalled_once(job: Job, engineer: User) -> None:
    before = JournalEntry.objects.filter(job=job, kind="job").count()
    assert demand_confirmation(job, True, by=engineer)
    assert not demand_confirmation(job, True, by=engineer)
    assert JournalEntry.objects.filter(job=job, kind="job").count() == before + 1
    assert Job.objects.get(pk=job.pk).confirmation_demanded


def test_switching_the_demand_off_asks_why_and_keeps_it(job: Job, engineer: User, sign_in: SignIn) -> None:
    demand_confirmation(job, True, by=engineer)
    with pytest.raises(Implausible, match="Say why"):
        demand_confirmation(job, False, by=engineer, reason=" ")
    browser = sign_in(engineer)
    refused = browser.post(f"{TABLES}demand/", {"demanded": "no", "reason": ""})
    assert refused.status_code == 422 and "Say why releases need no confirmed tables any more." in text(refused)
    assert Job.objects.get(pk=job.pk).confirmation_demanded
    assert browser.post(f"{TABLES}demand/", {"demanded": "no", "reason": "Confirmed by the owner"}).status_code == 303
    assert not Job.objects.get(pk=job.pk).confirmation_demanded
    entry = JournalEntry.objects.filter(job=job, kind="job").order_by("number").last()
    assert entry is not None and entry.reason == "Confirmed by the owner"


def test_a_confirmation_of_another_edition_than_the_jobs_does_not_count(
    job: Job, welded: Joint, inspector: User, engineer: User, sign_in: SignIn
) -> None:
    Job.objects.filter(pk=job.pk).update(edition="2018", confirmation_demanded=True)
    job.refresh_from_db()
    examined(job, welded, inspector, "accepted")
    others = [confirmation(name) for name in table_names() if name != "acceptance_b31_3"]
    confirm_tables([*others, confirmation("acceptance_b31_3", edition="ASME B31.3-2014")], job=job, by=engineer)
    with pytest.raises(NotReleasable, match="acceptance B31.3, row N, fillet"):
        release_joints([release(welded)], job=job, by=inspector)
    browser, words = sign_in(engineer), "edition ASME B31.3-2014, and the job uses 2018"
    assert words in text(browser.get(TABLES)) and words in text(browser.get(f"{TABLES}acceptance_b31_3/"))
    assert "Confirm the whole table" in text(browser.get(f"{TABLES}acceptance_b31_3/"))
    assert words in confirmed_on(job).words([("acceptance_b31_3", "N, fillet")])
    confirm_tables([confirmation("acceptance_b31_3", edition="ASME B31.3-2018")], job=job, by=engineer)
    # A copy of another edition that is read later takes nothing away.
    later = confirmation("acceptance_b31_3", edition="2014", done_on=date(2026, 9, 8))
    confirm_tables([later], job=job, by=engineer)
    release_joints([release(welded)], job=job, by=inspector)


def test_release_is_refused_until_each_table_is_confirmed(
    job: Job, welded: Joint, inspector: User, engineer: User
) -> None:
    examined(job, welded, inspector, "accepted")
    demand_confirmation(job, True, by=engineer)
    with pytest.raises(NotReleasable, match="pipe, row 1, 25, 80") as refused:
        release_joints([release(welded)], job=job, by=inspector)
    assert len(refused.value.faults) == len(unconfirmed_of(job, [welded.id])[welded.id]) > 5
    assert not Release.objects.exists()
    confirm_all(job, engineer)
    assert unconfirmed_of(job, [welded.id]) == {}
    release_joints([release(welded)], job=job, by=inspector)
    assert Release.objects.count() == 1 and not Finding.objects.filter(code="table-unconfirmed").exists()


def test_what_was_signed_on_paper_is_recorded_and_flagged_until_confirmed(
    job: Job, welded: Joint, inspector: User, engineer: User
) -> None:
    examined(job, welded, inspector, "accepted")
    demand_confirmation(job, True, by=engineer)
    release_joints([release(welded)], job=job, by=inspector, as_recorded=True)
    assert Finding.objects.filter(joint=welded, code="table-unconfirmed").count() == 1
    confirm_all(job, engineer)
    assert not Finding.objects.filter(joint=welded, code="table-unconfirmed").exists()
    one = Confirmation.objects.get(table="pipe")
    told = {"replaces": one, "reason": "Wrong copy", "done_on": date(2026, 9, 2), "by": "Edda Mroz"}
    withdraw_confirmations([Confirmation(id=new_id(), **told)], job=job, by=engineer)
    assert Finding.objects.filter(joint=welded, code="table-unconfirmed").count() == 1
    demand_confirmation(job, False, by=engineer, reason="The owner confirms them")
    assert not Finding.objects.filter(joint=welded, code="table-unconfirmed").exists()
    assert list(differences(job)) == []


# --- pages ---

TABLES = "/jobs/HW-7/tables/"


def text(answer: object) -> str:
    return " ".join(answer.content.decode().split())  # type: ignore[attr-defined]


def typed(**changes: str) -> dict[str, str]:
    said = {"id": str(uuid4()), "edition": "2018", "remark": "", "by": "Edda Mroz"}
    return said | {"date": timezone.localdate().isoformat()} | changes


def test_everybody_reads_the_tables_and_their_rows(job: Job, client_person: User, sign_in: SignIn) -> None:
    browser = sign_in(client_person)
    shown = text(browser.get(TABLES))
    assert "ASME B36.10M" in shown and "unconfirmed" in shown and "Release only by confirmed tables" not in shown
    page = text(browser.get(f"{TABLES}pipe/?find=1+80"))
    # NPS 1 Schedule 80: 1.315 in, wall 0.179 in (ASME B36.10M).
    assert "1.315" in page and "0.179" in page and "1.9" not in page.split("<tbody>")[1]
    assert "No row has these cells" in text(browser.get(f"{TABLES}pipe/?find=nothing"))
    assert browser.get(f"{TABLES}colours/").status_code == 404


def test_an_engineer_confirms_a_table_and_withdraws_it(job: Job, engineer: User, sign_in: SignIn) -> None:
    browser = sign_in(engineer)
    form = typed(remark="Contract copy 12")
    answer = browser.post(f"{TABLES}pipe/confirm/", form)
    assert (answer.status_code, answer["Location"]) == (303, f"{TABLES}pipe/")
    assert browser.post(f"{TABLES}pipe/confirm/", form).status_code == 303
    one = Confirmation.objects.get()
    assert (one.table, one.row, one.edition, one.by, one.remark) == (
        "pipe",
        "",
        "2018",
        "Edda Mroz",
        "Contract copy 12",
    )
    assert "confirmed by Edda Mroz" in text(browser.get(f"{TABLES}pipe/"))
    page = f"/jobs/HW-7/confirmations/{one.id}/withdraw/"
    assert "Confirmed by Edda Mroz" in text(browser.get(page))
    assert browser.post(page, typed(reason="")).status_code == 422
    assert browser.post(page, typed(reason="Another copy counts")).status_code == 303
    assert "unconfirmed" in text(browser.get(f"{TABLES}pipe/"))


def test_an_engineer_confirms_one_row(job: Job, engineer: User, sign_in: SignIn) -> None:
    browser = sign_in(engineer)
    page = f"{TABLES}socket_fittings/confirm/?row=1%2C+3000"
    assert "socket fittings, row 1, 3000" in text(browser.get(page))
    assert browser.post(page, typed()).status_code == 303
    assert Confirmation.objects.get().row == "1, 3000"
    assert "of its rows 1 of" in text(browser.get(TABLES))
    assert browser.get(f"{TABLES}socket_fittings/confirm/?row=9").status_code == 404


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"edition": ""}, "Edition read: this is missing."),
        ({"date": (timezone.localdate() + timedelta(days=3)).isoformat()}, "in the future"),
    ],
)
def test_bad_input_gets_a_sentence(
    job: Job, engineer: User, sign_in: SignIn, changes: dict[str, str], says: str
) -> None:
    answer = sign_in(engineer).post(f"{TABLES}pipe/confirm/", typed(**changes))
    assert answer.status_code == 422 and says in text(answer)
    assert not Confirmation.objects.exists()


def test_card_findings_and_release_say_what_is_confirmed(
    job: Job, welded: Joint, stamp: Stamp, inspector: User, engineer: User, sign_in: SignIn
) -> None:
    examined(job, welded, inspector, "accepted")
    card, findings = f"/jobs/HW-7/joints/{welded.id}/", "/jobs/HW-7/findings/"
    Finding.objects.create(
        job=job, joint=welded, attempt="0", code="leg-too-small", severity="stop", message="Leg.", source="ASME B31.3",
        tables=[["pipe", "1, 25, 80"]],
    )  # fmt: skip
    assert "· unconfirmed" in text(sign_in(engineer).get(card))
    assert "ASME B31.3 · unconfirmed" in text(sign_in(engineer).get(findings))
    confirm_all(job, engineer)
    shown = text(sign_in(engineer).get(card))
    assert "· confirmed by Edda Mroz, 2026-09-01, edition 2018" in shown and "· unconfirmed" not in shown
    assert "ASME B31.3 · confirmed by Edda Mroz" in text(sign_in(engineer).get(findings))


def test_the_release_page_lists_what_is_to_be_confirmed_with_links(
    job: Job, welded: Joint, inspector: User, engineer: User, sign_in: SignIn
) -> None:
    examined(job, welded, inspector, "accepted")
    page = f"/jobs/HW-7/joints/{welded.id}/release/"
    assert "Tables to confirm first" not in text(sign_in(inspector).get(page))
    answer = sign_in(engineer).post(f"{TABLES}demand/", {"demanded": "yes"})
    assert answer.status_code == 303 and "A release asks for confirmed tables" in text(sign_in(engineer).get(TABLES))
    assert f'href="{TABLES}pipe/"' in text(sign_in(inspector).get(page))
    assert f'href="{TABLES}pipe/confirm/?row=1%2C%2025%2C%2080"' in text(sign_in(engineer).get(page))
