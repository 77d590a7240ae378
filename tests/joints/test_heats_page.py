"""The list of heats: how their certificates stand, how many joints use them, and what it costs."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from joints.queries.heats import certificate_counts, heats_page
from records.models import Certificate, Heat, Job, Joint, User
from tests.builders import HeatBuilder, JointBuilder
from tests.many import many_joints

pytestmark = pytest.mark.django_db


def states(job: Job) -> dict[str, str]:
    return {row.number: row.state for row in heats_page(job).rows}


def test_says_how_each_certificate_stands(job: Job) -> None:
    HeatBuilder(job=job, number="K1", certificate=None)
    HeatBuilder(job=job, number="K2")
    kept = HeatBuilder(job=job, number="K3")
    Certificate.objects.filter(id=kept.certificate_id).update(file="certificates/x.pdf")
    assert states(job) == {"K1": "no certificate named", "K2": "file missing", "K3": "on file"}
    assert [row.number for row in heats_page(job, missing=True).rows] == ["K1", "K2"]
    counts = certificate_counts(job)
    assert (counts.heats_without, counts.heats_without_file, counts.files_missing) == (1, 1, 1)


def test_counts_each_joint_once_whichever_side_has_the_heat(job: Job, sheet, procedure) -> None:
    one, other = HeatBuilder(job=job, number="K1"), HeatBuilder(job=job, number="K2")
    for heat_a, heat_b in ((one, other), (one, one), (other, one)):
        JointBuilder(sheet=sheet, heat_a=heat_a, heat_b=heat_b, procedure=procedure)
    assert {row.number: row.joints for row in heats_page(job).rows} == {"K1": 3, "K2": 2}


def test_a_withdrawn_joint_uses_no_heat(job: Job, joint: Joint) -> None:
    Joint.objects.filter(id=joint.id).update(state="withdrawn")
    assert {row.joints for row in heats_page(job).rows} == {0}


def test_searches_by_heat_material_and_certificate(job: Job) -> None:
    heat = HeatBuilder(job=job, number="K77", material="A312 TP316L")
    HeatBuilder(job=job, number="K88")
    for text in ("k77", "316l", heat.certificate.number):
        assert [row.number for row in heats_page(job, search=text).rows] == ["K77"], text


def test_pages_by_number(job: Job) -> None:
    for number in range(60):
        HeatBuilder(job=job, number=f"K{number:03}")
    first = heats_page(job)
    second = heats_page(job, after=first.next)
    assert [row.number for row in second.rows] == [f"K{number:03}" for number in range(50, 60)]
    assert heats_page(job, before=second.previous).rows == first.rows


def test_links_to_the_joints_of_a_heat(job: Job, joint: Joint, engineer: User, sign_in) -> None:
    shown = sign_in(engineer).get(reverse("heats", args=[job.code])).content.decode()
    assert f"{reverse('weld-log', args=[job.code])}?heat={Heat.objects.first().number}" in shown


def test_asks_as_often_of_a_thousand_joints_as_of_ten(job: Job, engineer: User, sign_in) -> None:
    person = sign_in(engineer)
    counts = []
    for joints in (10, 990):
        many_joints(job, joints)
        with CaptureQueriesContext(connection) as asked:
            assert person.get(reverse("heats", args=[job.code])).status_code == 200
        counts.append(len(asked))
    assert counts[0] == counts[1] <= 10
