"""What the rows of a sheet are guessed to be besides: who welded, what was examined.

What shops call their headings is common practice, no source.
"""

from office.importing.forms import BY_NAME
from office.importing.further import begun, further_of, lacking
from office.importing.guessing import guess
from office.importing.own_names import OwnNames, OwnPart, keys
from tests.office.importing.register import REGISTER, texts


def test_headings_that_stand_more_than_once_are_told_apart_by_their_turn() -> None:
    assert keys(["Date", "", "Result", "DATE ", "", "Date (RT)"]) == ["date", "", "result", "date 2", "", "date 3"]


def test_a_registers_weld_log_and_examinations_are_guessed_by_the_words_above_them() -> None:
    found = guess("Sheet1", texts(REGISTER), OwnNames())
    assert (found.form, found.row) == ("Joints", 3)
    assert [one.group for one in found.headings][8:] == [
        "", *["Welding"] * 3, *["VT"] * 3, *["RT"] * 4]  # fmt: skip
    joint = {"drawing": "iso", "sheet": "sht", "joint": "weld"}
    assert further_of(found) == (
        OwnPart("Examinations", {"date": "date 2", "by": "by", "result": "result", **joint}, {"method": "VT"}),
        OwnPart(
            "Examinations",
            {"date": "date 3", "by": "by 2", "report": "report", "result": "result 2", **joint},
            {"method": "RT"},
        ),
        OwnPart("Weld log", {"date": "date", "root stamp": "root", "cap stamp": "cap", "procedure": "wps", **joint}),
    )


def test_the_word_of_an_examination_may_stand_in_the_heading_itself() -> None:
    heads = ["Iso", "Sht", "Weld", "Type", "Size", "Sch", "S/F", "VT", "VT date", "VT by", "RT result", "Date of RT"]
    found = guess("Welds", [heads], OwnNames())
    proposed = further_of(found)
    assert [(one.form, one.fixed) for one in proposed] == [
        ("Examinations", {"method": "VT"}), ("Examinations", {"method": "RT"})]  # fmt: skip
    assert {column: key for column, key in proposed[0].read.items() if key.startswith("vt")} == {
        "result": "vt", "date": "vtdate", "by": "vtby"}  # fmt: skip
    # By whom the radiographs were read is not there: it is asked for, so that no reject is left out unseen.
    assert lacking(proposed[1], found) == ("by",)


def test_a_heading_of_one_method_is_no_other_kinds() -> None:
    heads = [
        "Iso",
        "Sht",
        "Weld",
        "Type",
        "Size",
        "Sch",
        "S/F",
        "WPS",
        "Welder",
        "Date welded",
        "RT Date",
        "Report",
        "PT",
    ]
    (log,) = further_of(guess("Welds", [heads], OwnNames()))
    assert (log.form, log.read["date"], log.read["root stamp"]) == ("Weld log", "datewelded", "welder")


def test_the_examinations_of_one_more_method_read_other_headings() -> None:
    heads = ["Iso", "Sht", "Weld", "Type", "Size", "Sch", "S/F", "Date", "By", "Result", "Date", "By", "Result"]
    found = guess("Welds", [["", *[""] * 6, "First look", "", "", "Second look", "", ""], heads], OwnNames())
    first = begun(BY_NAME["examinations"], found, ())
    second = begun(BY_NAME["examinations"], found, (first,))
    joint = {"drawing": "iso", "sheet": "sht", "joint": "weld"}
    assert first.read == joint | {"date": "date", "by": "by", "result": "result"}
    assert second.read == joint | {"date": "date 2", "by": "by 2", "result": "result 2"}


def test_a_list_that_is_nothing_besides_stays_one_thing() -> None:
    assert (
        further_of(guess("Joints", [["drawing", "sheet", "joint", "kind", "location", "NPS", "schedule"]], OwnNames()))
        == ()
    )
    assert further_of(guess("Welders", [["stamp", "name", "Date", "Result"]], OwnNames())) == ()
