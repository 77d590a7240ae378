"""The pages of the owner's specification: what stands beside each limit, setting one, changing one."""

from uuid import uuid4

import pytest

from records.models import Job, Joint, OwnerLimit, User
from tests.builders import OwnerLimitBuilder
from tests.conftest import SignIn

LIST, ADD = "/jobs/HW-7/specification/", "/jobs/HW-7/specification/add/"


def typed(**changes: str) -> dict[str, str]:
    said = {"id": str(uuid4()), "limit": "gap max", "joint_kind": "socket", "service": "", "value": "3/32 in"}
    return said | {"specification": "PS-110", "clause": "6.3", "mode": "tightened"} | changes


def text(answer: object) -> str:
    return " ".join(answer.content.decode().split())  # type: ignore[attr-defined]


def test_an_empty_specification_says_so(job: Job, client_person: User, sign_in: SignIn) -> None:
    shown = text(sign_in(client_person).get(LIST))
    assert "The owner sets no limits on this job" in shown and "Set a limit" not in shown


def test_an_engineer_sets_a_limit_and_everybody_reads_it_beside_the_others(
    joint: Joint, engineer: User, owner: User, sign_in: SignIn
) -> None:
    answer = sign_in(engineer).post(ADD, typed())
    assert (answer.status_code, answer["Location"]) == (303, LIST)
    row = OwnerLimit.objects.get()
    # 3/32 in is 2.38125 mm.
    assert (float(row.value), row.typed, row.joint_kind) == (2.38125, "3/32 in", "socket")
    shown = text(sign_in(owner).get(LIST))
    assert "Owner&#x27;s specification PS-110, 6.3" in shown
    assert "WPS W-11: 1/8 in" in shown and "code: about 1/16 in, of a socket before welding" in shown
    assert "looser" not in shown.split("<tbody>")[1]
    card = text(sign_in(owner).get(f"/jobs/HW-7/joints/{joint.id}/"))
    assert "1/32 to 3/32 in" in card and "Owner&#x27;s specification PS-110, 6.3" in card


def test_a_looser_figure_is_flagged(joint: Joint, engineer: User, sign_in: SignIn) -> None:
    browser = sign_in(engineer)
    browser.post(ADD, typed(value="3/16"))
    assert "looser than WPS W-11, which still stands" in text(browser.get(LIST))
    row = OwnerLimit.objects.get()
    answer = browser.post(f"{LIST}{row.id}/", typed(value="3/16", mode="replaced", reason="agreed in the minutes"))
    assert answer.status_code == 303
    assert "looser than WPS W-11, and replaces it" in text(browser.get(LIST))
    card = text(browser.get(f"/jobs/HW-7/joints/{joint.id}/"))
    assert "Owner&#x27;s specification PS-110, 6.3, looser than WPS W-11" in card


def test_the_codes_own_figure_stands_beside(joint: Joint, engineer: User, sign_in: SignIn) -> None:
    browser = sign_in(engineer)
    browser.post(ADD, typed(limit="leg min", value="1/4"))
    # 1.09 x 0.179 in, up to the next 1/32 in (ASME B31.3 Fig. 328.5.2C).
    assert "code: 7/32 in" in text(browser.get(LIST))


def test_what_no_code_limits_says_so(joint: Joint, engineer: User, sign_in: SignIn) -> None:
    browser = sign_in(engineer)
    browser.post(ADD, typed(limit="gap on film min", value="1/32"))
    shown = text(browser.get(LIST))
    assert "no code limits it" in shown and "ASME" not in shown.split("<tbody>")[1].split("</table>")[0]


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"value": "12 psi"}, "is not a length"),
        ({"value": "-1"}, "negative"),
        ({"value": ""}, "Figure: this is missing."),
        ({"limit": "passes min", "value": "2.5"}, "no whole number"),
        ({"limit": "RT share min", "value": "110 %"}, "accepted are figures from 0 to 100%"),
        ({"limit": "stop spacing min", "value": "200"}, "accepted are figures from 0 to 180°"),
        ({"specification": ""}, "Specification: this is missing."),
    ],
)
def test_bad_input_gets_a_sentence_and_nothing_is_written(
    job: Job, engineer: User, sign_in: SignIn, changes: dict[str, str], says: str
) -> None:
    answer = sign_in(engineer).post(ADD, typed(**changes))
    assert answer.status_code == 422 and says in text(answer)
    assert not OwnerLimit.objects.exists()


def test_sent_twice_is_set_once(job: Job, engineer: User, sign_in: SignIn) -> None:
    browser, form = sign_in(engineer), typed()
    assert browser.post(ADD, form).status_code == 303
    assert browser.post(ADD, form).status_code == 303
    assert OwnerLimit.objects.count() == 1


def test_a_change_needs_its_reason_and_keeps_what_it_speaks_of(job: Job, engineer: User, sign_in: SignIn) -> None:
    row = OwnerLimitBuilder(job=job)
    browser, page = sign_in(engineer), f"{LIST}{row.id}/"
    assert "3/32 in" in text(browser.get(page))
    answer = browser.post(page, typed(value="1/16", limit="leg min"))
    assert answer.status_code == 422 and "Say why the limit changes." in text(answer)
    assert browser.post(page, typed(value="1/16", limit="leg min", reason="revision 4")).status_code == 303
    row.refresh_from_db()
    assert (row.limit, float(row.value)) == ("gap max", 1.5875)


def test_another_jobs_limit_is_not_there(job: Job, other_job: Job, engineer: User, sign_in: SignIn) -> None:
    row = OwnerLimitBuilder(job=other_job)
    assert sign_in(engineer).get(f"{LIST}{row.id}/").status_code == 404


def test_an_inspector_reads_and_may_not_set(job: Job, inspector: User, sign_in: SignIn) -> None:
    browser = sign_in(inspector)
    assert browser.get(LIST).status_code == 200
    assert browser.post(ADD, typed()).status_code == 403
    assert not OwnerLimit.objects.exists()


def test_the_film_form_shows_the_limit_of_the_gap_after_welding(joint: Joint, inspector: User, sign_in: SignIn) -> None:
    OwnerLimitBuilder(job=joint.job, limit="gap on film min", value="0.79375", typed="1/32")
    page = text(sign_in(inspector).get(f"/jobs/HW-7/joints/{joint.id}/examination/RT/"))
    assert "at least 1/32 in" in page and "Owner&#x27;s specification PS-110, 6.3" in page


def test_a_least_over_the_greatest_is_set_and_warned_of(job: Job, engineer: User, sign_in: SignIn) -> None:
    OwnerLimitBuilder(job=job)  # gap max 3/32 in
    browser = sign_in(engineer)
    answer = browser.post(ADD, typed(limit="gap min", value="1/8"), follow=True)
    told = "The least, 1/8 in (Owner&#x27;s specification PS-110, 6.3), is over the greatest, 3/32 in"
    assert text(answer).count(told) == 3  # said as it is set, and beside each of the two
    assert OwnerLimit.objects.count() == 2
