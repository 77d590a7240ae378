"""Take-outs by the job's figures, and what a cut length adds and leaves, by hand."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.compute import CALCULATORS
from rules.cut_length import BUTT, ENDS, SOCKET, DoesNotFit, End, cut_length, end, tolerance_stack
from rules.source import Source
from rules.tables import table
from rules.units import SI, US

D = Decimal
INCH = D("25.4")


def test_a_us_job_takes_the_inch_figure() -> None:
    # NPS 1 Class 3000: 0.88 in against 22.5 mm; depth 0.50 in against 12.5 mm.
    us, si = end("elbow-90", "1", SOCKET, "3000", US), end("elbow-90", "1", SOCKET, "3000")
    assert (us.takeout_mm / INCH, si.takeout_mm) == (D("0.88"), D("22.5"))
    assert us.depth_mm is not None and us.depth_mm / INCH == D("0.50")
    assert (us.source.state, si.source.state) == ("memory", "checked")
    # 20 in - 2 x 0.88 - 2 x 1/16 = 18.115 in.
    assert cut_length(20 * INCH, (us, us), D("1.5875")).length_mm / INCH == D("18.115")


def test_the_raised_face_is_counted_once_in_either_edition() -> None:
    # NPS 2 Class 150 weld neck: 62 + 2 = 64 from 2003 on; 63.5 with its raised face of 1.6 before.
    assert end("flange-150", "2", BUTT, "").takeout_mm == 64
    assert end("flange-150", "2", BUTT, "", flange_edition="1996").takeout_mm == D("63.5")
    # Socket: 24 + 2 - 17 = 9.
    assert end("flange-150", "2", SOCKET, "").takeout_mm == 9
    with pytest.raises(ValueError, match='flange edition "1988"; accepted are 1996, 2003'):
        end("flange-150", "2", BUTT, "", flange_edition="1988")


def test_reducers_caps_and_outlets_take_their_length() -> None:
    lengths = [end(name, "4", BUTT, "").takeout_mm for name in ("reducer", "cap", "tee-outlet", "elbow-90-short")]
    assert lengths == [102, 64, 105, 102]
    with pytest.raises(ValueError, match="A reducer has no socket"):
        end("reducer", "1", SOCKET, "3000")


def test_the_ends_may_be_of_unequal_classes() -> None:
    ends = end("elbow-90", "1", SOCKET, "3000"), end("elbow-90", "1", SOCKET, "6000")
    # 500 - 22.5 - 27 - 2 x 1.5 = 447.5.
    assert cut_length(D(500), ends, D("1.5")).length_mm == D("447.5")


def test_a_field_fit_keeps_its_allowance() -> None:
    ends = end("elbow-90", "1", SOCKET, "3000"), end("plain", "1", SOCKET, "3000")
    found = cut_length(D(500), ends, D("1.5"), D(50))
    assert found.length_mm == 526
    assert "476 + field-fit allowance 50 = 526 mm" in found.steps
    with pytest.raises(ValueError, match="allowance of -1 mm is not possible"):
        cut_length(D(500), ends, D("1.5"), D(-1))


def test_the_steps_are_written_in_the_jobs_units() -> None:
    # 20 in - 1-1/2 in - 1/16 in: the inch figures of NPS 2 Class 3000, a 90 elbow 1.50 and its socket 0.62 deep.
    ends = end("elbow-90", "2", SOCKET, "3000", US), end("plain", "2", SOCKET, "3000", US)
    found = cut_length(20 * INCH, ends, INCH / 16, units=US)
    assert found.steps[0] == "20 - 90° elbow 1-1/2 - 1 x 1/16 = 18-7/16 in"
    assert cut_length(D(500), ends, D("1.5")).steps[0].startswith("500 - 90° elbow 38.1 - 1 x 1.5 = ")
    # What goes into a socket is added: 20 + 0.62 - 1-1/2 - 2 x 1/16 = 18.995.
    valve = End("valve socket", -INCH * D("0.62"), INCH * D("0.62"), Source("the route"))
    found = cut_length(20 * INCH, (valve, ends[0]), INCH / 16, units=US)
    assert found.steps[0] == "20 + valve socket 0.62 - 90° elbow 1-1/2 - 2 x 1/16 = 18.995 in"
    with pytest.raises(DoesNotFit, match=r"1/16 in \(1\.6 mm\) short"):
        cut_length(INCH * 3 / 2, ends, INCH / 16, units=US)


def test_gaps_deeper_than_the_sockets_leave_no_overlap_to_tell() -> None:
    # NPS 2 Class 3000 elbows take 38 mm, their sockets are 16 mm deep: 2 x 38 + 2 x 20 = 116 mm, of which 113 are 3 short.
    elbow = end("elbow-90", "2", SOCKET, "3000")
    with pytest.raises(DoesNotFit, match=r"fit: 3\.0 mm short; accepted are distances over 116 mm\.$"):
        cut_length(D(113), (elbow, elbow), D(20))


@pytest.mark.parametrize("name", ["tolerance_centre", "tolerance_coupling", "tolerance_half_coupling"])
def test_tolerances_of_fittings_go_by_size_alone(name: str) -> None:
    # ASME B16.11 paragraph 6 gives them by size; so the calculator asks no class.
    rows = table("socket_fittings").rows
    sizes = {row["nps"] for row in rows}
    assert {row["nps"] for row in rows if row["class"] == "3000"} == sizes
    for unit in ("mm", "in"):
        assert all(len({row[f"{name}_{unit}"] for row in rows if row["nps"] == nps}) == 1 for nps in sizes)
    assert not CALCULATORS["tolerance-stack"].optional


def test_tolerances_add_up_in_the_worst_case() -> None:
    # Paragraph 6, NPS 1 to 2: centre 2 mm, full coupling 4 mm of which half on either side of its middle.
    ends = end("elbow-90", "1", SOCKET, "3000"), end("coupling", "1", SOCKET, "3000")
    found = tolerance_stack(ends)
    assert found.value == 4
    assert str(found.source) == "ASME B16.11-2016 paragraph 6 (from memory)"
    us = end("elbow-90", "1", SOCKET, "3000", US)
    assert tolerance_stack((us, us)).value / INCH == D("0.16")
    with pytest.raises(ValueError, match="tolerance of a Class 150 flange; accepted are"):
        tolerance_stack((ends[0], end("flange-150", "1", SOCKET, "")))


@given(
    st.sampled_from(ENDS),
    st.sampled_from(ENDS),
    st.sampled_from([SOCKET, BUTT]),
    st.sampled_from([US, SI]),
    st.decimals("0", "4", places=2),
    st.decimals("0", "100", places=1),
    st.decimals("1", "3000", places=1),
)
def test_cut_length_take_outs_and_gaps_make_the_centre_distance(
    one: str, other: str, joint: str, units: str, gap: D, allowance: D, centre: D
) -> None:
    try:
        ends = end(one, "1", joint, "3000", units), end(other, "1", joint, "3000", units)
        found = cut_length(centre, ends, gap, allowance)
    except DoesNotFit:
        return
    except ValueError as refused:
        assert "accepted are" in str(refused)
        return
    welded = (one != "plain") + (other != "plain")
    assert found.length_mm - allowance + sum(found.takeouts_mm) + welded * gap == centre
