"""The isometric on the screen: valid, every joint a link that says its state in words, and nothing styled inline."""

from dataclasses import replace
from xml.etree import ElementTree

from reports.data import Ring
from reports.isometric.screen import isometric_svgs, stacked
from reports.isometric.sheet import sheets
from tests.reports.isometric.walks import walk

SVG = "{http://www.w3.org/2000/svg}"


def links(drawings: list[str]) -> list[ElementTree.Element]:
    return [link for one in drawings for link in ElementTree.fromstring(one).iter(f"{SVG}a")]


def test_every_joint_is_one_link_with_its_title() -> None:
    made = walk(70, 5)
    found = links(isometric_svgs(made))
    assert sorted(link.get("href", "") for link in found) == sorted(weld.href for weld in made.welds)
    for link in found:
        title = link.find(f"{SVG}title")
        assert title is not None and title.text == link.get("aria-label")


def test_a_joint_says_number_kind_place_state_and_finding() -> None:
    made = walk(6, 2)
    first = made.welds[0]
    known = replace(first, joint=replace(first.joint, ring=Ring("rejected"), location="field"), finding="stop")
    (svg,) = isometric_svgs(replace(made, welds=(known, *made.welds[1:])))
    assert 'aria-label="Joint 1, butt, field, rejected, a finding stops its release"' in svg
    # A sign beside the number, since colour alone tells nobody anything.
    assert ">1 !!</text>" in svg


def test_joints_not_asked_for_stand_aside_and_stay_links() -> None:
    made = walk(10, 3)
    drawings = isometric_svgs(made, shown=lambda weld: weld.joint.number == "2")
    classes = {link.get("href"): link.get("class") for link in links(drawings)}
    assert classes["/joints/2/"] == "iso-joint"
    assert {found for href, found in classes.items() if href != "/joints/2/"} == {"iso-joint iso-aside"}


def test_has_no_inline_style_or_script_and_hides_nothing_from_a_screen_reader() -> None:
    for svg in isometric_svgs(walk(40, 4)):
        root = ElementTree.fromstring(svg)
        assert root.get("role") == "group" and root.get("aria-label")
        for one in root.iter():
            assert "style" not in one.attrib and not any(name.startswith("on") for name in one.attrib)
            assert one.tag not in {f"{SVG}style", f"{SVG}script"}


def test_names_are_escaped() -> None:
    made = walk(5, 1)
    first = made.welds[0]
    (svg,) = isometric_svgs(
        replace(made, welds=(replace(first, joint=replace(first.joint, number='<b>&"'), href='/?a="1"&b=2'),))
    )
    root = ElementTree.fromstring(svg)
    assert [link.get("href") for link in root.iter(f"{SVG}a")] == ['/?a="1"&b=2']


def test_several_sheets_make_one_file() -> None:
    drawings = isometric_svgs(walk(90, 5))
    assert len(drawings) > 1
    root = ElementTree.fromstring(stacked(drawings))
    inner = root.findall(f"{SVG}svg")
    assert [one.get("y") for one in inner] == [f"{690 * place}" for place in range(len(drawings))]
    assert root.get("viewBox") == f"0 0 1120 {690 * len(drawings)}"


def test_few_joints_stand_larger() -> None:
    few, many = isometric_svgs(walk(6, 2)), isometric_svgs(walk(40, 4))
    assert all('class="isometric is-small"' in svg and 'viewBox="0 0 560 345"' in svg for svg in few)
    assert all('class="isometric"' in svg and 'viewBox="0 0 1120 690"' in svg for svg in many)


def test_a_change_of_state_moves_no_label() -> None:
    made = walk(30, 6)
    later = replace(made, welds=tuple(replace(w, joint=replace(w.joint, ring=Ring("released"))) for w in made.welds))
    room = (0.0, 0.0, 1120.0, 690.0)
    before, after = sheets(made, room), sheets(later, room)
    assert [[one.ring for one in sheet.arranged.written] for sheet in before] == [
        [one.ring for one in sheet.arranged.written] for sheet in after
    ]
    states = {one.weld.joint.ring.state for sheet in after for one in sheet.arranged.written if one.weld}
    assert states == {"released"}
