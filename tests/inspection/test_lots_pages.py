"""The pages of lots: what is short, a draw that can be repeated, a choice by hand, and what a reject asks."""

import hashlib
import html
import re
from decimal import Decimal
from urllib.parse import urlencode

import pytest
from django.urls import reverse

from inspection.actions.pick_joints import pick_joints
from inspection.actions.record_examinations import record_examinations
from joints.actions.record_fit_ups import record_fit_ups
from joints.actions.record_passes import record_passes
from records.models import Examination, ExamRule, FitUp, Job, Joint, Pass, Pick, SampleLot, Stamp, User
from records.templatetags.spoolbook import day
from tests.builders import JointBuilder, OwnerLimitBuilder, days_ago
from tests.conftest import SignIn


@pytest.fixture
def rule(job: Job, joint: Joint, stamp: Stamp, engineer: User) -> ExamRule:
    """RT of 20 % of each line; five joints of one line are welded."""
    made = ExamRule.objects.create(
        job=job, plan=joint.line.exam_plan, joint_kind="all", method="RT", share_percent=Decimal(20), lot_basis="line"
    )
    joints = [joint, *JointBuilder.create_batch(4, sheet=joint.sheet)]
    record_fit_ups([FitUp(joint=one, done_on=days_ago(3), by="A1") for one in joints], job=job, by=engineer)
    caps = [Pass(joint=one, order=1, role="cap", stamp=stamp, process="GTAW", done_on=days_ago(3)) for one in joints]
    record_passes(caps, job=job, by=engineer)
    return made


def address(route: str, job: Job, rule: ExamRule, joint: Joint, **more: str) -> str:
    lot = SampleLot.objects.get(rule=rule, places__joint=joint)
    return f"{reverse(route, args=[job.code, rule.id])}?{urlencode({'of': lot.id, **more})}"


def test_the_list_says_how_many_are_missing(
    job: Job, joint: Joint, rule: ExamRule, owner: User, sign_in: SignIn
) -> None:
    browser = sign_in(owner)
    page = browser.get(reverse("lots", args=[job.code])).text
    assert f"line {joint.line.number}" in page
    assert "sample short by 1 examination" in page
    lot = browser.get(address("lot", job, rule, joint)).text
    assert "20\N{NO-BREAK SPACE}% of 5 welds, rounded up = 1" in lot
    assert "Pick for the sample" not in lot


def test_a_long_lot_is_leafed_through_each_weld_once_both_ways(
    job: Job, joint: Joint, rule: ExamRule, owner: User, sign_in: SignIn, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("inspection.queries.lots.PAGE", 2)
    browser, start = sign_in(owner), address("lot", job, rule, joint)

    def leaf(pages: int, words: str, where: str) -> tuple[list[list[str]], str]:
        seen = []
        for number in range(pages):
            page = browser.get(where).text
            seen.append(re.findall(r'<th scope="row"><a[^>]*>([^<]+)</a>', page))
            link = re.search(rf'href="([^"]+)">{words}<', page)
            assert (link is None) == (number == pages - 1)
            where = f"{start.partition('?')[0]}{html.unescape(link[1])}" if link else where
        return seen, where

    forward, last = leaf(3, "Next welds", start)
    assert [len(page) for page in forward] == [2, 2, 1] and len({one for page in forward for one in page}) == 5
    backward, _ = leaf(3, "Previous welds", last)
    assert backward == forward[::-1]


def test_a_lot_that_is_not_there_answers_so(
    job: Job, joint: Joint, rule: ExamRule, owner: User, sign_in: SignIn
) -> None:
    browser = sign_in(owner)
    for of in ("nothing", "", joint.id):
        assert browser.get(f"{reverse('lot', args=[job.code, rule.id])}?of={of}").status_code == 404


def test_lots_that_differ_by_the_owners_share_have_a_page_each(
    job: Job, joint: Joint, rule: ExamRule, stamp: Stamp, engineer: User, sign_in: SignIn
) -> None:
    OwnerLimitBuilder(job=job, limit="RT share min", value=Decimal(50), joint_kind="butt", specification="OS-12")
    butt = JointBuilder(sheet=joint.sheet, kind="butt", socket_class="")
    cap = Pass(joint=butt, order=1, role="cap", stamp=stamp, process="GTAW", done_on=days_ago(3))
    record_passes([cap], job=job, by=engineer)
    assert len(set(SampleLot.objects.values_list("name", flat=True))) == 1
    browser = sign_in(engineer)
    listed = browser.get(reverse("lots", args=[job.code]))
    shares = {lot.share_percent: browser.get(address) for lot, address in listed.context["lines"]}
    assert {share: page.context["lot"].rule.share_percent for share, page in shares.items()} == {20: 20, 50: 50}
    assert [page.context["pick"] for page in shares.values()] == [
        address.replace("/?", "/pick/?") for _, address in listed.context["lines"]
    ]


def test_the_list_says_while_findings_are_worked_out(
    job: Job, joint: Joint, rule: ExamRule, owner: User, sign_in: SignIn
) -> None:
    browser = sign_in(owner)
    assert "worked out again" not in browser.get(reverse("lots", args=[job.code])).text
    Joint.objects.filter(id=joint.id).update(is_stale=True)
    assert "worked out again" in browser.get(reverse("lots", args=[job.code])).text


def test_a_share_without_a_lot_is_told_with_the_way_to_name_one(
    job: Job, joint: Joint, rule: ExamRule, owner: User, engineer: User, sign_in: SignIn
) -> None:
    ExamRule.objects.filter(pk=rule.pk).update(lot_basis="by moonlight")
    page = sign_in(owner).get(reverse("lots", args=[job.code])).text
    assert "its lot basis “by moonlight” is not known" in page
    assert "An engineer names the lot" in page and reverse("imports", args=[job.code]) not in page
    page = sign_in(engineer).get(reverse("lots", args=[job.code])).text
    assert "column lot basis" in page and reverse("imports", args=[job.code]) in page.partition("column lot basis")[2]


def test_a_draw_is_recorded_once_and_can_be_repeated(
    job: Job, joint: Joint, rule: ExamRule, inspector: User, sign_in: SignIn
) -> None:
    browser = sign_in(inspector)
    form = browser.get(address("lot-pick", job, rule, joint)).context["form"]
    sent = {"id": form["id"].value(), "how": "random", "count": "2", "by": "Ines Carrow", "date": days_ago(0)}
    assert browser.post(address("lot-pick", job, rule, joint), sent).status_code == 303
    assert browser.post(address("lot-pick", job, rule, joint), sent).status_code == 303
    picks = list(Pick.objects.select_related("joint__sheet"))
    seed = str(sent["id"])[-12:]
    names = {f"{one.sheet.drawing}/{one.sheet.number}/{one.number}" for one in Joint.objects.select_related("sheet")}
    ordered = sorted(names, key=lambda one: hashlib.sha256(f"{seed} {one}".encode()).hexdigest())
    taken = {f"{one.joint.sheet.drawing}/{one.joint.sheet.number}/{one.joint.number}" for one in picks}
    assert taken == set(ordered[:2])
    assert {one.draw for one in picks} == {f"seed {seed}, 2 of 5 by SHA-256 of seed and joint"}
    assert {one.joint.due for one in picks} == {"RT, VT"}
    lot = browser.get(address("lot", job, rule, joint)).text
    assert "2 picked and not examined yet" in lot


def test_a_choice_needs_a_joint_and_a_draw_no_more_than_there_are(
    job: Job, joint: Joint, rule: ExamRule, inspector: User, sign_in: SignIn
) -> None:
    browser = sign_in(inspector)
    form = browser.get(address("lot-pick", job, rule, joint)).context["form"]
    sent = {"id": form["id"].value(), "how": "by hand", "by": "Ines Carrow", "date": days_ago(0)}
    refused = browser.post(address("lot-pick", job, rule, joint), sent)
    assert refused.status_code == 422
    assert "No joint is chosen" in refused.text
    many = browser.post(address("lot-pick", job, rule, joint), sent | {"how": "random", "count": "6"})
    assert "Only 5 joints can be picked" in many.text
    assert not Pick.objects.exists()
    chosen = browser.post(address("lot-pick", job, rule, joint), sent | {"chosen": [joint.id.hex]})
    assert chosen.status_code == 303
    assert [(one.joint_id, one.how, one.purpose) for one in Pick.objects.all()] == [(joint.id, "by hand", "sample")]


def test_a_reject_offers_the_extras_of_its_welder(
    job: Job, joint: Joint, rule: ExamRule, stamp: Stamp, inspector: User, sign_in: SignIn
) -> None:
    seen = Examination(joint=joint, method="RT", result="rejected", done_on=days_ago(1), by="Ines Carrow")
    record_examinations([seen], job=job, by=inspector)
    browser = sign_in(inspector)
    lot = browser.get(address("lot", job, rule, joint)).text
    assert "2 more due" in lot
    assert f"Pick extras of {stamp.code}" in lot
    extra = address("lot-pick", job, rule, joint, welder=stamp.code)
    form = browser.get(extra).context["form"]
    assert form["count"].value() == 2
    sent = {"id": form["id"].value(), "how": "random", "count": "2", "by": "Ines Carrow", "date": days_ago(0)}
    assert browser.post(extra, sent).status_code == 303
    assert set(Pick.objects.values_list("purpose", flat=True)) == {"extra"}
    assert browser.get(address("lot-pick", job, rule, joint, welder="Z9")).status_code == 404


def test_the_joint_card_says_why_it_was_not_picked_and_by_whom_it_was(
    job: Job, joint: Joint, rule: ExamRule, inspector: User, sign_in: SignIn
) -> None:
    browser = sign_in(inspector)
    card = reverse("joint", args=[job.code, joint.id])
    asked = f"RT, 20\N{NO-BREAK SPACE}% by {rule.plan.name}: "
    assert f"{asked}not picked: the sample of its lot (by line) is short" in browser.get(card).text
    pick = {"joint": joint, "method": "RT", "how": "by hand", "done_on": days_ago(1), "by": "Ines Carrow"}
    pick_joints([Pick(**pick, remark="Worst to reach")], job=job, by=inspector)
    assert f"{asked}picked by hand by Ines Carrow on {day(days_ago(1))} (Worst to reach)" in browser.get(card).text
    looked = {"joint": joint, "method": "RT", "result": "accepted", "by": "Ines Carrow", "done_on": days_ago(0)}
    record_examinations([Examination(**looked)], job=job, by=inspector)
    other = Joint.objects.filter(job=job).exclude(id=joint.id).order_by("sort_key")[0]
    page = browser.get(reverse("joint", args=[job.code, other.id])).text
    assert f"{asked}not picked: the sample of its lot (by line) is complete with others" in page


def test_the_card_of_a_joint_that_is_not_welded_says_when_it_comes_into_a_lot(
    job: Job, joint: Joint, rule: ExamRule, inspector: User, sign_in: SignIn
) -> None:
    ahead = JointBuilder(sheet=joint.sheet)
    browser = sign_in(inspector)
    page = browser.get(reverse("joint", args=[job.code, ahead.id])).text
    assert "not picked: a joint has its place in a lot once it is welded" in page
    ExamRule.objects.filter(pk=rule.pk).update(lot_basis="")
    page = browser.get(reverse("joint", args=[job.code, ahead.id])).text
    assert "not picked: the plan names no lot, so that no sample is held" in page
