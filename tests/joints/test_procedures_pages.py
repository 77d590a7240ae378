"""The pages of procedures: what each covers, and the joints of the job that it does not."""

import re
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from joints.queries.procedure_ranges import ranges_of
from records.models import Job, Joint, Material, Procedure, ProcedurePass, User
from reports.drawing import Words
from reports.letters import width
from reports.procedure_range import BarRow, RangeData, Tick, range_picture
from tests.builders import JointBuilder, ProcedureBuilder

pytestmark = pytest.mark.django_db


@pytest.fixture
def procedure(job: Job) -> Procedure:
    """Butt and socket welds of P-1, 1/16 in to 3/4 in thick, from 2-7/8 in outside, flat and vertical."""
    return ProcedureBuilder(
        job=job, number="W-50", p_numbers=["1"], joint_kinds=["butt", "socket"], thickness_min_mm=Decimal("1.5875"),
        thickness_max_mm=Decimal("19.05"), outside_diameter_min_mm=Decimal("73.025"), positions=["1G", "3G"],
    )  # fmt: skip


def joint_of(procedure: Procedure, **said: object) -> Joint:
    values = {"kind": "butt", "od_mm": Decimal("88.9"), "wall_mm": Decimal("5.49"), "position": "1G",
              "material_a": "A106 Gr. B", "material_b": "A105"} | said  # fmt: skip
    return JointBuilder(sheet__line__job=procedure.job, procedure=procedure, **values)


def test_a_joint_within_every_range_is_covered(procedure: Procedure) -> None:
    joint_of(procedure)
    shown = ranges_of(procedure.job, [procedure])[procedure.id]
    assert (shown.joints, shown.outside, shown.told) == (1, 0, ())


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ({"wall_mm": Decimal("1.2")}, "base thickness"),
        ({"wall_mm": Decimal("25.4")}, "base thickness"),
        ({"od_mm": Decimal("60.3")}, "outside diameter"),
        ({"position": "4G"}, "position 4G"),
        ({"kind": "branch"}, "joint kind branch"),
        ({"material_b": "A312 TP316L"}, "base metal P-1 to P-8"),
    ],
)
def test_each_variable_that_a_joint_is_outside_of_is_told_and_counted(
    procedure: Procedure, said: dict[str, object], told: str
) -> None:
    joint_of(procedure)
    joint_of(procedure, **said)
    joint_of(procedure, state="withdrawn", **said)
    shown = ranges_of(procedure.job, [procedure])[procedure.id]
    assert (shown.joints, shown.outside) == (2, 1)
    [(words, count)] = shown.told
    assert words.startswith(told) and count == 1


def test_the_cells_say_what_is_covered_and_what_is_needed(procedure: Procedure) -> None:
    joint_of(procedure)
    joint_of(procedure, position="4G", material_b="A312 TP316L")
    shown = ranges_of(procedure.job, [procedure])[procedure.id]
    rows = {row.name: row.cells for row in shown.picture.cells}
    assert rows["Positions"] == (
        ("flat", True, 1, False),
        ("horizontal", False, 0, False),
        ("vertical", True, 0, False),
        ("overhead", False, 1, True),
    )
    assert rows["Base metal"] == (("P-1", True, 2, False), ("P-8", False, 1, True))
    assert rows["Joints"] == (("butt", True, 2, False), ("socket", True, 0, False))


def test_a_material_of_the_job_s_own_gives_its_p_number(procedure: Procedure) -> None:
    Material.objects.create(job=procedure.job, name="X-Alloy", p_number="45")
    joint_of(procedure, material_b="X-Alloy")
    shown = ranges_of(procedure.job, [procedure])[procedure.id]
    assert shown.told == (("base metal P-1 to P-45, covers P-1", 1),)


def _labels(svg_shapes: tuple[object, ...]) -> list[tuple[float, float, float]]:
    found = []
    for one in svg_shapes:
        if isinstance(one, Words):
            room = width(one.text, one.size, one.face)
            left = one.at[0] - {"start": 0.0, "middle": room / 2, "end": room}[one.anchor]
            found.append((left, left + room, one.at[1]))
    return found


@pytest.mark.parametrize("wide", [350.0, 760.0])
@pytest.mark.parametrize("count", [1, 4, 30])
def test_no_two_words_of_the_picture_touch_and_none_leaves_it(wide: float, count: int) -> None:
    ticks = tuple(Tick(2.0 + n * 0.7, f"{2 + n * 0.7:.2f} mm", 10 + n, n % 5 == 0) for n in range(count))
    bars = (
        BarRow("Thickness", 3.0, 3.6, "3 mm", "3.6 mm", ticks),
        BarRow("Outside diameter", 60.0, None, "60.3 mm", "", ticks),
        BarRow("Deposit", None, None, "", "", ticks),
    )
    picture = range_picture(RangeData(bars, ()), "ranges", wide=wide)
    labels = _labels(picture.shapes)
    for place, (left, right, level) in enumerate(labels):
        assert left >= -0.5 and right <= wide + 0.5
        for other_left, other_right, other_level in labels[place + 1 :]:
            assert abs(level - other_level) >= 11 or right <= other_left or other_right <= left


def test_the_page_draws_the_ranges_and_tells_them(procedure: Procedure, client: Client, foreman: User) -> None:
    joint_of(procedure, od_mm=Decimal("60.3"))
    client.force_login(foreman)
    page = client.get(reverse("procedure", args=[procedure.job.code, procedure.id])).content.decode()
    assert "<title>Ranges of W-50: Thickness 1/16 in to 3/4 in" in page
    assert "1 of them is not covered" in re.sub(r"\s+", " ", page)
    assert "2-7/8 in or more" in page


def test_the_list_counts_what_is_not_covered(
    procedure: Procedure, client: Client, foreman: User, django_assert_num_queries
) -> None:
    joint_of(procedure)
    joint_of(procedure, kind="branch")
    client.force_login(foreman)
    page = client.get(reverse("procedures", args=[procedure.job.code])).content.decode()
    assert "W-50" in page and "1/16 in to 3/4 in" in page and '<b class="out">1 joint</b>' in page
    with django_assert_num_queries(2):
        ranges_of(procedure.job, [procedure])
    with django_assert_num_queries(2):
        ranges_of(procedure.job, [])


def test_the_page_tells_the_amps_of_each_pass_or_that_none_are_given(
    procedure: Procedure, client: Client, foreman: User
) -> None:
    given = {"job": procedure.job, "procedure": procedure, "process": "GTAW", "filler": "ER70S-2"}
    ranges = {
        "root": (Decimal(90), Decimal("130.5")),
        "hot": (Decimal(90), None),
        "fill": (None, Decimal(160)),
        "cap": (None, None),
    }
    ProcedurePass.objects.filter(procedure=procedure).delete()
    for role, (least, greatest) in ranges.items():
        ProcedurePass.objects.create(role=role, amps_min=least, amps_max=greatest, **given)
    client.force_login(foreman)
    page = client.get(reverse("procedure", args=[procedure.job.code, procedure.id])).text
    told = re.findall(r"<td>([^<]*|<span class=.none.>not given</span>)</td></tr>", page)
    assert told == ["90–130.5", "90 or more", "160 or less", '<span class="none">not given</span>']
