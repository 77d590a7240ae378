"""The list of findings: its filters, its paging, its overridden side, and what it costs."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inspection.actions.override_findings import override_findings
from inspection.queries.open_findings import PAGE, SEVERITIES, FindingsWanted, counts_by_code, findings_page
from joints.actions.record_fit_ups import record_fit_ups
from records.models import Finding, FitUp, Job, Joint, Override, User
from records.models.base import new_id
from records.rebuild import differences, rebuild
from rules.acting import ACTING, acts_on, finding_key, key_after, key_of
from rules.codes import CODES
from tests.builders import days_ago
from tests.conftest import SignIn
from tests.many import lines_of, many_joints

pytestmark = pytest.mark.django_db


def address(job: Job) -> str:
    return reverse("findings", args=[job.code])


def add(joint: Joint, code: str, severity: str, **more: object) -> Finding:
    values = {"sort_key": finding_key(severity, code, joint.sort_key), "owner": acts_on(code)} | more
    return Finding.objects.create(
        job=joint.job,
        joint=joint,
        attempt="0",
        code=code,
        severity=severity,
        message=f"{code} here.",
        source="WPS W-11",
        **values,
    )


def test_shows_the_weightiest_first(job: Job, joint: Joint) -> None:
    for code, severity in (("release-missing", "correct"), ("leg-too-small", "stop"), ("gap-out-of-range", "note")):
        add(joint, code, severity)
    assert [row.severity for row in findings_page(job, FindingsWanted()).rows] == ["stop", "correct", "note"]


def test_pages_through_every_finding_once_and_back(job: Job) -> None:
    many_joints(job, 2 * PAGE + 10)
    pages = [findings_page(job, FindingsWanted())]
    while pages[-1].next:
        pages.append(findings_page(job, FindingsWanted(), after=pages[-1].next))
    assert len({row.joint_id for page in pages for row in page.rows}) == 2 * PAGE + 10
    assert findings_page(job, FindingsWanted(), before=pages[2].previous).rows == pages[1].rows


def test_goes_on_from_a_finding_that_was_made_anew_meanwhile(job: Job) -> None:
    many_joints(job, PAGE + 5)
    first = findings_page(job, FindingsWanted())
    last = first.rows[-1]
    old = Finding.objects.get(joint_id=last.joint_id)
    old.delete()
    Finding.objects.create(
        job=job, joint_id=last.joint_id, attempt="0", code=old.code, severity=old.severity, message="", source="",
        sort_key=old.sort_key,
    )  # fmt: skip
    rest = findings_page(job, FindingsWanted(), after=first.next).rows
    assert len({row.joint_id for row in first.rows + rest}) == PAGE + 5


def test_filters_by_severity_code_and_line(job: Job) -> None:
    many_joints(job, 20, per_line=10)
    line = lines_of(job)[0]
    assert len(findings_page(job, FindingsWanted(severity="stop")).rows) == 10
    assert len(findings_page(job, FindingsWanted(code="gap-out-of-range", line=line.number)).rows) == 5
    assert findings_page(job, FindingsWanted(severity="grave")).rows == ()
    assert findings_page(job, FindingsWanted(code="no-such-code")).rows == ()
    assert counts_by_code(job) == [("stop", "pass-out-of-range", 10), ("correct", "gap-out-of-range", 10)]


def test_an_overridden_finding_moves_with_who_and_why(job: Job, joint: Joint, inspector: User, sign_in) -> None:
    override_findings(
        [
            Override(
                id=new_id(), joint=joint, attempt="0", code="gap-out-of-range", done_on=days_ago(1),
                by="Ines Carrow", reason="Owner agreed on site.",
            )
        ],
        job=job,
        by=inspector,
        as_recorded=True,
    )  # fmt: skip
    Finding.objects.all().delete()
    add(joint, "gap-out-of-range", "correct", override=Override.objects.get())
    person = sign_in(inspector)
    assert "gap-out-of-range here" not in person.get(address(job)).content.decode()
    shown = person.get(address(job), {"shown": "overridden"}).content.decode()
    assert "by Ines Carrow, 1 day ago: Owner agreed on site." in shown


def test_shows_the_arithmetic_and_the_way_to_the_joint(job: Job, joint: Joint, client_person: User, sign_in) -> None:
    add(joint, "gap-out-of-range", "correct", measured="3/16", limit="1/8", unit="in", steps=["3/16 - 1/8 = 1/16 in"])
    shown = sign_in(client_person).get(address(job)).content.decode()
    for words in ("<b>3/16 in</b>", "<b>1/8 in</b>", "3/16 - 1/8 = 1/16 in", "WPS W-11", "ISO-1101/1/14"):
        assert words in shown, words
    assert reverse("joint", args=[job.code, joint.id]) in shown


def test_says_so_where_nothing_is_open(job: Job, owner: User, sign_in) -> None:
    assert "Nothing is open" in sign_in(owner).get(address(job)).content.decode()
    assert "No finding was overridden" in sign_in(owner).get(address(job), {"shown": "overridden"}).content.decode()


@pytest.mark.parametrize("place", ["x", "0.a.b.c", "0.x." + "9" * 40 + "." + "0" * 32, "%00", "-1.x.1." + "0" * 32])
def test_a_broken_place_begins_at_the_start(job: Job, joint: Joint, owner: User, sign_in, place: str) -> None:
    add(joint, "leg-too-small", "stop")
    assert "leg-too-small here" in sign_in(owner).get(f"{address(job)}?after={place}").content.decode()


def test_hides_another_job(job: Job, visitor: User, sign_in) -> None:
    assert sign_in(visitor).get(address(job)).status_code == 404


def test_asks_as_often_of_a_thousand_joints_as_of_ten(job: Job, engineer: User, sign_in) -> None:
    person = sign_in(engineer)
    counts = []
    for joints in (10, 990):
        many_joints(job, joints)
        with CaptureQueriesContext(connection) as asked:
            assert person.get(address(job)).status_code == 200
        counts.append(len(asked))
    assert counts[0] == counts[1] <= 9


def test_filters_by_who_acts(job: Job, joint: Joint, engineer: User, sign_in) -> None:
    for code in ("gap-out-of-range", "release-missing", "heat-missing", "hold-point-open"):
        add(joint, code, "correct")
    found = {
        owner: [row.code for row in findings_page(job, FindingsWanted(owner=owner)).rows] for owner in (*ACTING, "")
    }
    assert found["foreman"] == ["gap-out-of-range"]
    assert found["inspector"] == ["release-missing"]
    assert found["engineer"] == ["heat-missing"]
    assert found["owner"] == ["hold-point-open"]
    assert len(found[""]) == 4
    page = sign_in(engineer).get(address(job), {"owner": "inspector"}).content.decode()
    assert "release-missing here" in page and "heat-missing here" not in page
    assert "heat-missing here" in sign_in(engineer).get(address(job), {"owner": "somebody"}).content.decode()


def test_filters_by_age_and_pages_the_longest_open_first(job: Job) -> None:
    """130 findings, the first of today and each a day older than the one before: 100 are 30 days old or more."""
    joints = many_joints(job, 130)
    for age, joint in enumerate(joints):
        Finding.objects.filter(joint=joint).update(since=days_ago(age))
    wanted = FindingsWanted(days=30)
    pages = [findings_page(job, wanted)]
    while pages[-1].next:
        pages.append(findings_page(job, wanted, after=pages[-1].next))
    days = [row.since for page in pages for row in page.rows]
    assert days == [days_ago(age) for age in range(129, 29, -1)]
    assert findings_page(job, wanted, before=pages[-1].previous).rows == pages[-2].rows
    assert all(row.severity == "stop" for row in findings_page(job, FindingsWanted(days=7, severity="stop")).rows)


def test_the_key_of_a_severity_takes_in_no_other_severity() -> None:
    for severity in SEVERITIES:
        beginning = key_of(severity)
        for code in CODES:
            for other in SEVERITIES:
                is_in = beginning <= finding_key(other, code, "x") < key_after(beginning)
                assert is_in == (other == severity)


def test_what_a_refresh_stores_sorts_and_tells_as_the_rules_say(job: Job, joint: Joint, foreman: User) -> None:
    """A gap far too wide, found on a fit-up four days ago: the foreman's, since that day; rebuilding agrees."""
    record_fit_ups(
        [FitUp(id=new_id(), joint=joint, done_on=days_ago(4), by="F. Holm", gap_mm=12, attempt="0")],
        job=job,
        by=foreman,
    )
    finding = Finding.objects.get(joint=joint, code="gap-out-of-range")
    assert finding.sort_key == "1gapoutofrange iso-001101 000001 000014"
    assert (finding.owner, finding.since) == ("foreman", days_ago(4))
    assert list(differences(job)) == []
    Finding.objects.filter(id=finding.id).update(since=days_ago(9))
    assert len(list(differences(job))) == 1
    rebuild(job)
    assert list(differences(job)) == []


def test_names_findings_in_words_and_keeps_their_codes(sign_in: SignIn, engineer: User, job: Job, joint: Joint) -> None:
    add(joint, "fit-up-missing", "correct")
    add(joint, "hold-point-open", "correct")
    add(joint, "hold-point-open", "note", subject="second")
    page = sign_in(engineer).get(address(job)).content.decode()
    assert '<option value="fit-up-missing">fit-up missing (1)</option>' in page
    assert page.count('<option value="hold-point-open">') == 1
    assert "hold point open (2)</option>" in page
    notes = sign_in(engineer).get(address(job), {"severity": "note"}).content.decode()
    assert "hold point open (1)</option>" in notes and "fit-up missing" not in notes
    narrowed = sign_in(engineer).get(address(job), {"severity": "note", "code": "fit-up-missing"}).content.decode()
    assert '<option value="fit-up-missing" selected>fit-up missing (0)</option>' in narrowed
