"""Who has to act on a finding, since when it is open, and that the link to what mends it leads to a page that opens."""

import pytest
from django.test import Client

from inspection.to_mend import MENDS, mend_of
from records.models import Finding, FitUp, Joint, User
from records.models.base import new_id
from records.models.job import ROLES
from records.permissions import ALLOWED
from rules.acting import acts_on, finding_key
from rules.codes import CODES
from rules.points import CODE as POINT_OPEN
from tests.builders import days_ago
from tests.conftest import SignIn


def finding(joint: Joint, code: str, **more: object) -> Finding:
    values = {"sort_key": finding_key("stop", code, joint.sort_key), "owner": acts_on(code)} | more
    return Finding.objects.create(
        job=joint.job, joint=joint, attempt="0", code=code, severity="stop", message="x", source="s", **values
    )


def shown(client: Client, joint: Joint) -> str:
    answer = client.get(f"/jobs/{joint.job.code}/findings/")
    assert answer.status_code == 200
    return answer.content.decode()


def the_link(client: Client, joint: Joint) -> str:
    [(_, _, mend)] = client.get(f"/jobs/{joint.job.code}/findings/").context["lines"]
    return mend.address


def test_the_table_names_codes_that_there_are_and_owners_who_may() -> None:
    assert set(MENDS) <= set(CODES)
    for code in CODES:
        mend = mend_of(code)
        assert acts_on(code) in ROLES and acts_on(code) in ALLOWED[mend.verb], code


def test_an_open_point_waits_for_whoever_may_attend_it() -> None:
    assert {acts_on(POINT_OPEN)} == ALLOWED["attend"]


@pytest.mark.parametrize("state", ["welded", "rejected"])
@pytest.mark.parametrize("code", CODES)
def test_every_link_opens_for_whoever_is_to_act(
    joint: Joint, engineer: User, sign_in: SignIn, code: str, state: str
) -> None:
    Joint.objects.filter(id=joint.id).update(state=state)
    finding(joint, code, subject="VT" if "examination" in code else "W-1 1/2")
    client = sign_in(engineer)
    link = the_link(client, joint)
    assert link and client.get(link).status_code == 200, link


def test_a_finding_about_a_fit_up_leads_to_its_correction_and_counts_from_its_day(
    joint: Joint, foreman: User, sign_in: SignIn
) -> None:
    fit_up = FitUp.objects.create(
        id=new_id(), job=joint.job, joint=joint, done_on=days_ago(9), recorded_by=foreman,
        recorded_at="2026-01-01T00:00Z",
    )  # fmt: skip
    finding(joint, "gap-out-of-range", record=str(fit_up.id), since=days_ago(9))
    client = sign_in(foreman)
    page = shown(client, joint)
    assert "For the <b>foreman</b>" in page and "9 days ago" in page
    assert the_link(client, joint).endswith(f"/fit-up/?replaces={fit_up.id}")
    assert client.get(the_link(client, joint)).status_code == 200


def test_a_method_that_nobody_records_here_leads_to_the_card(joint: Joint, engineer: User, sign_in: SignIn) -> None:
    finding(joint, "examination-due", subject="no method")
    assert the_link(sign_in(engineer), joint) == f"/jobs/{joint.job.code}/joints/{joint.id}/"


def test_whoever_may_override_goes_on_from_the_list(joint: Joint, inspector: User, sign_in: SignIn) -> None:
    finding(joint, "leg-too-small")
    link = f"/jobs/{joint.job.code}/joints/{joint.id}/override/?finding=leg-too-small.0"
    assert link in shown(sign_in(inspector), joint)
    assert sign_in(inspector).get(link).status_code == 200


def test_a_client_reads_who_acts_and_finds_nothing_to_write(joint: Joint, client_person: User, sign_in: SignIn) -> None:
    finding(joint, "release-missing")
    page = shown(sign_in(client_person), joint)
    assert "For the <b>inspector</b>" in page and "/release/" not in page and "/override/" not in page
