"""The calculators on the command line: the contract's names, form and exit codes."""

import json

import pytest
from django.core.management import CommandError, call_command


def run(*words: str) -> None:
    call_command("compute", *words)


def test_prints_json_with_the_keys_of_the_contract(capsys: pytest.CaptureFixture[str]) -> None:
    run("heat-input", "volts=24", "amps=200", "travel=300", "process=FCAW", "--format", "json")
    answer = json.loads(capsys.readouterr().out)
    assert list(answer) == ["name", "inputs", "result", "steps", "source", "notes"]
    # EN 1011-1 with k 0.8 for process 136; worked example in the reference, checked: 0.768 kJ/mm.
    assert answer["result"]["heat_input"] == pytest.approx(0.768)
    assert list(answer["source"]) == ["code", "edition", "clause", "state"]


def test_prints_result_steps_and_source_as_text(capsys: pytest.CaptureFixture[str]) -> None:
    run("pipe", "nps=1-1/2", "schedule=80")
    out = capsys.readouterr().out
    # ASME B36.10M, NPS 1-1/2 Schedule 80: 48.3 x 5.08 mm.
    assert "od_mm = 48.3" in out
    assert "wall_mm = 5.08" in out
    assert "Source: ASME B36.10M" in out


def test_an_imperfection_without_a_size_is_not_called_unlimited(capsys: pytest.CaptureFixture[str]) -> None:
    run("imperfection-limit", "kind=undercut", "wall=0.154", "service=Normal", "weld=girth", "--units", "US")
    out = capsys.readouterr().out
    assert "accepted = not decided here" in out
    assert "No size was given that the criterion could judge." in out


def test_a_pore_within_its_size_is_left_to_the_examiner_with_the_reason(capsys: pytest.CaptureFixture[str]) -> None:
    # ASME B31.3-2018 Table 341.3.2 criterion E refers to the charts of BPVC Section VIII Division 1 Appendix 4.
    run("imperfection-limit", "kind=porosity", "wall=8", "service=Normal", "weld=girth", "measured=2")
    out = capsys.readouterr().out
    assert "accepted = not decided here" in out
    assert "within the 3 mm of random ones. Number, spacing and pattern go by the charts" in out
    assert "No size was given" not in out


def test_continuity_is_judged_as_of_today_where_no_day_is_given(capsys: pytest.CaptureFixture[str]) -> None:
    run("continuity", "last_used=2001-01-31")
    assert "alive = no" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("pipe", "nps=1", "schedule=81"), 1, "has no schedule"),
        (("cut-length", "nps=1/2", "joint=socket", "centre=20", "end1=elbow-90", "end2=elbow-90"), 1, "does not fit"),
        (("guess", "a=1"), 1, "There is no calculator"),
        (("pipe", "nps"), 2, "is not key=value"),
        (("pipe", "nps=1", "nps=2"), 2, "given twice"),
    ],
)
def test_says_in_a_sentence_what_it_can_not_compute(words: tuple[str, ...], code: int, said: str) -> None:
    with pytest.raises(CommandError, match=said) as refused:
        run(*words)
    assert refused.value.returncode == code
