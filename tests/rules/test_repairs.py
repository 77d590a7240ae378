"""How often a joint may be repaired: the job's limit or the owner's, and since the last cut-out only."""

from dataclasses import replace

from tests.rules.cast import JOB, examination, repair, welded
from tests.rules.test_findings import codes


def test_repairs_over_the_jobs_limit_are_found() -> None:
    made = welded(
        repairs=(repair(), repair(attempt="R1"), repair(attempt="R2")),
        examinations=(
            examination(result="rejected"),
            examination(attempt="R1", id="e1", result="rejected"),
            examination(attempt="R2", id="e2", result="rejected"),
        ),
    )
    assert codes(made) == ["repairs-exceeded"]
    assert codes(made, job=replace(JOB, repairs_max=3)) == []


def test_repairs_before_a_cut_out_do_not_count_against_the_new_weld() -> None:
    # Common practice, no source: what was cut out is no longer repaired metal.
    again = welded(
        repairs=(
            repair(),
            repair(attempt="R1"),
            repair("cut-out", attempt="R2"),
            repair(attempt="W1"),
        )
    )
    assert "repairs-exceeded" not in codes(again)
