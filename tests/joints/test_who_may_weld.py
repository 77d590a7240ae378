"""Who may weld a joint, and why not the others."""

from joints.queries.who_may_weld import who_may_weld
from records.models import Joint, Stamp


def test_the_qualified_come_first_and_the_others_carry_their_reasons(
    joint: Joint, stamp: Stamp, unqualified_stamp: Stamp
) -> None:
    first, second = who_may_weld(joint)
    assert (first.stamp, first.is_qualified, first.reasons) == ("A1", True, ())
    assert (second.stamp, second.is_qualified) == ("B2", False)
    assert any("GTAW" in reason for reason in second.reasons)
