"""The reason of a cut-out stays its own, whatever its record is corrected for; common practice, no source."""

from uuid import UUID

import pytest

from records.reasons import own_reason, own_reasons

A, B, C = UUID(int=1), UUID(int=2), UUID(int=3)


@pytest.mark.parametrize(
    ("chain", "own"),
    [
        (["Crooked"], ["Crooked"]),
        ([""], [""]),
        (["", "Wrong day"], ["", ""]),
        (["Crooked", "Wrong day"], ["Crooked", "Crooked"]),
        (["Crooked", "Crooked; corrected: Wrong day"], ["Crooked", "Crooked"]),
        (["", "Crooked; corrected: Wrong day", "Wrong name"], ["", "Crooked", "Crooked"]),
        (["", "; corrected: Wrong day"], ["", ""]),
        (["Seen; corrected: by hand"], ["Seen; corrected: by hand"]),
    ],
)
def test_a_decision_keeps_its_reason_and_takes_none_from_its_correction(chain: list[str], own: list[str]) -> None:
    keys: list[UUID | None] = [None, A, B, C]
    records = [(UUID(int=place + 1), keys[place], text) for place, text in enumerate(chain)]
    assert list(own_reasons(records).values()) == own
    assert own_reasons(records[::-1]) == own_reasons(records)


def test_a_chain_whose_beginning_is_not_there_says_what_it_says_itself() -> None:
    assert own_reasons([(B, A, "Wrong day")]) == {B: ""}
    assert own_reason("Wrong day", corrects=True) == ""
    assert own_reason("Wrong day", corrects=False) == "Wrong day"
