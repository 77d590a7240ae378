"""Short journeys on a tablet and at a desk, each doing one job as far as the person sees it done."""

import re

import pytest
from playwright.sync_api import Locator, expect

from tests.hostile_bytes import pdf
from tests.journeys.conftest import Crew
from tests.journeys.deeds import JOB, choose, fill
from tests.journeys.visitor import Visitor
from tests.office.workbooks import as_xlsx

pytestmark = pytest.mark.journey
FIT_UP = ["drawing", "sheet", "joint", "attempt", "date", "by", "gap"]
# An address that nobody has: RFC 2606 keeps .example free.
HOOK = "https://hooks.yard.example/spoolbook"


def open_line(person: Visitor, line: str) -> Visitor:
    """Go to a line from the list of progress."""
    person.page.goto(f"{person.site}{JOB}progress/")
    return person.leave_by(person.page.locator("main").get_by_role("link", name=line, exact=True).first.click)


def has_view(person: Visitor) -> list[float]:
    """The part of the first isometric that is seen: x, y, wide, high."""
    shown = person.page.locator("[data-isometric] svg").first.get_attribute("viewBox")
    assert shown
    return [float(part) for part in shown.split()]


def place_in(one: Locator, across: float | None = None, down: float | None = None) -> tuple[float, float]:
    """A place of the window so far into an element, its middle where nothing is said."""
    one.scroll_into_view_if_needed()
    box = one.bounding_box()
    assert box
    right, below = (box[side] / 2 if far is None else far for side, far in (("width", across), ("height", down)))
    return box["x"] + right, box["y"] + below


def test_a_heat_is_found_with_the_keyboard_alone(crew: Crew) -> None:
    engineer = crew("engineer")
    page = engineer.open(JOB + "welders/").page
    page.keyboard.press("/")
    expect(page.locator("#find")).to_be_focused()
    page.keyboard.type("K42108")
    expect(page.locator(".dropped a")).to_have_count(1)
    page.keyboard.press("Escape")
    expect(page.locator(".dropped")).to_be_hidden()
    page.keyboard.press("Control+A")
    page.keyboard.type("ob-br-102/1/5")
    expect(page.locator(".dropped a")).to_have_count(1)
    expect(page.locator(".dropped a")).to_contain_text("OB-BR-102/1")
    engineer.look_closely()
    page.keyboard.press("ArrowDown")
    expect(page.locator(".dropped a")).to_be_focused()
    engineer.leave_by(lambda: page.keyboard.press("Enter"))
    expect(page.locator("h1")).to_contain_text("5")
    expect(page.locator("main")).to_contain_text("OB-BR-102")


def test_the_queue_leads_an_inspector_from_one_joint_to_the_next(crew: Crew) -> None:
    inspector = crew("inspector")
    inspector.open(f"{JOB}to-examine/?method=VT&line=DR-601")
    tab = inspector.page.get_by_role("navigation", name="By method").get_by_role("link", name=re.compile("^VT"))
    before = int(tab.locator("b").inner_text())
    inspector.press(re.compile("^VT of joint 6"))
    choose(inspector, "accepted")
    fill(inspector, {"Leg A": "1/4", "Leg B": "1/4"})
    inspector.press(re.compile("^Record VT"))
    assert "VT of joint 6 recorded." in inspector.words
    expect(inspector.page.locator("h1")).to_contain_text("VT")
    inspector.press("Leave this one out")
    inspector.open(f"{JOB}to-examine/?method=VT&line=DR-601")
    assert int(tab.locator("b").inner_text()) == before - 1
    expect(inspector.page.get_by_role("link", name=re.compile("^VT of joint 6"))).to_have_count(0)


def test_filler_is_issued_and_taken_back(crew: Crew) -> None:
    foreman = crew("foreman")
    foreman.open(JOB + "filler-lots/")
    foreman.leave_by(foreman.page.get_by_role("link", name="L-7111", exact=True).click)
    foreman.press("Issue to a welder").look_closely()
    fill(foreman, {"Welder (stamp)": "D15", "Quantity": "5 lb"})
    foreman.press("Record")
    row = foreman.page.get_by_role("table", name="Who has what of this lot").get_by_role("row").filter(has_text="D15")
    expect(row).to_contain_text("8.5 lb")
    foreman.press("Take back")
    fill(foreman, {"Welder (stamp)": "D15", "Quantity": "2 lb"})
    foreman.press("Record")
    expect(row).to_contain_text("6.5 lb")


def test_a_sample_that_is_short_is_picked_by_a_draw(crew: Crew) -> None:
    inspector = crew("inspector")
    inspector.open(JOB + "lots/")
    inspector.press(re.compile("^sample short"))
    inspector.press("line HO-302")
    expect(inspector.page.locator("main")).to_contain_text("sample short")
    inspector.press("Pick for the sample")
    inspector.press("Record the pick")
    picked = inspector.page.get_by_role("table", name="Welds of the lot").get_by_text("for the sample")
    expect(picked.first).to_be_visible()
    inspector.open(JOB + "lots/")
    row = inspector.page.get_by_role("row").filter(has_text="line HO-302")
    expect(row.get_by_role("cell").nth(4)).to_have_text("1")


def test_an_isometric_is_made_larger_moved_and_followed_to_a_joint(crew: Crew) -> None:
    foreman = crew("foreman")
    page = open_line(foreman, "HO-301").page
    whole = has_view(foreman)
    page.get_by_role("button", name="Larger").first.click()
    page.get_by_role("button", name="Larger").first.click()
    larger = has_view(foreman)
    assert larger[2] < whole[2] * 0.7 and larger[0] > whole[0], "larger round its middle"
    sheet = page.locator("[data-isometric]").first
    sheet.focus()
    page.keyboard.press("ArrowRight")
    assert has_view(foreman)[0] > larger[0]
    box = sheet.locator("svg").bounding_box()
    assert box
    at = (box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    before = has_view(foreman)
    foreman.drag(at, (60, 30))
    assert has_view(foreman)[0] < before[0] and "/lines/" in page.url, "dragged, and no joint opened"
    foreman.look_closely()
    page.get_by_role("button", name="Whole sheet").first.click()
    assert has_view(foreman) == whole
    foreman.leave_by(lambda: sheet.locator("a.iso-joint").first.press("Enter"))
    expect(page.locator(".state b").first).to_be_visible()


def test_an_import_is_taken_back(crew: Crew) -> None:
    engineer = crew("engineer")
    row = ["OB-DR-601", "2", "5", "0", "2026-11-20 10:00", "Nils Okerby", "1/16"]
    book = {"name": "yard.xlsx", "mimeType": "application/octet-stream", "buffer": as_xlsx({"Fit-ups": [FIT_UP, row]})}
    page = engineer.open(JOB + "imports/").page
    engineer.box("Workbook or model").set_input_files(book)
    engineer.press("Check the file")
    page.get_by_role("button", name="Apply").wait_for()
    engineer.press("Apply")
    page.get_by_text("The workbook is in the job.").wait_for()
    joint = f"{JOB}weld-log/?search=OB-DR-601/2/5"
    engineer.open(joint)
    expect(page.locator("#log tbody tr")).to_contain_text("fitted")
    engineer.open(JOB + "imports/")
    engineer.leave_by(page.get_by_role("link", name="Import of yard.xlsx").click)
    engineer.press("Take it back")
    expect(page.get_by_role("table", name="Withdrawn")).to_contain_text("Fit-ups")
    engineer.box("Why is it taken back?").fill("It was another skid's slip")
    engineer.press("Take the import back")
    page.get_by_text("The import was taken back").wait_for()
    engineer.open(joint)
    expect(page.locator("#log tbody tr")).to_contain_text("planned")


def test_somebody_gets_a_role_and_the_site_a_name(crew: Crew) -> None:
    administrator = crew("administrator")
    page = administrator.open(JOB + "people/").page
    administrator.press("Add a person")
    fill(administrator, {"Name to sign in with": "petra", "First name": "Petra", "Last name": "Aldous"})
    choose(administrator, re.compile("^inspector"))
    administrator.press("Add to the job")
    assert "petra is inspector now." in administrator.words
    page.get_by_role("checkbox", name=re.compile("^foreman")).check()
    administrator.press("Change roles")
    administrator.open(JOB + "people/")
    row = page.get_by_role("row").filter(has_text="Petra Aldous")
    expect(row).to_contain_text("inspector")
    expect(row).to_contain_text("foreman")


def test_the_settings_of_the_job_are_changed(crew: Crew) -> None:
    administrator = crew("administrator")
    administrator.open(JOB + "settings/")
    site = administrator.page.get_by_label("Site", exact=True)
    site.fill("Yard 4, hall B")
    administrator.box("Why it changes").fill("The skid was moved.")
    administrator.press("Change the settings")
    assert "Changed: Site." in administrator.words
    expect(site).to_have_value("Yard 4, hall B")


def test_a_webhook_is_made_tried_and_ended(crew: Crew) -> None:
    engineer = crew("engineer")
    page = engineer.open(JOB + "webhooks/").page
    page.get_by_role("checkbox", name=re.compile("^a joint was released")).check()
    engineer.box("Address").fill("https://127.0.0.1/inside")
    engineer.press("Make the webhook")
    assert "Not made yet" in engineer.words
    assert page.get_by_role("checkbox", name=re.compile("^a joint was released")).is_checked(), "the choice is kept"
    engineer.box("Address").fill(HOOK)
    engineer.press("Make the webhook")
    assert "Copy its secret now" in engineer.words
    engineer.press("To its log")
    assert "Nothing has been sent yet." in engineer.words
    engineer.press("Send a test")
    expect(page.get_by_role("table", name="Deliveries, the newest first").locator("tbody tr")).to_have_count(1)
    page.locator("summary", has_text="End it").click()
    engineer.press("End it for good")
    expect(page.get_by_role("button", name="Send a test")).to_have_count(0)
    engineer.press("All webhooks")
    expect(page.get_by_role("row").filter(has_text=HOOK)).to_contain_text("ended")


def test_a_joint_is_placed_on_the_drawing_of_the_client(crew: Crew) -> None:
    foreman = crew("foreman")
    page = open_line(foreman, "DR-601").page
    foreman.leave_by(page.get_by_role("link", name="Upload the drawing of OB-DR-601/1").click)
    foreman.box("Drawing").set_input_files({"name": "DR-601.pdf", "mimeType": "application/pdf", "buffer": pdf()})
    foreman.press("Upload")
    left = page.get_by_text(re.compile(r"joints are not on the drawing yet, of 7\."))
    expect(left).to_contain_text("7 joints")
    foreman.tap(place_in(page.locator("[data-drawing] svg"), 120, 160))
    expect(left).to_contain_text("6 joints")
    expect(page.locator("[data-told]")).to_contain_text(re.compile(r"Joint \S+ stands at \d+\.\d x \d+\.\d in\."))
    page.locator("[data-drawing]").focus()
    for key in ("ArrowRight", "ArrowDown", "Enter"):
        page.keyboard.press(key)
    expect(left).to_contain_text("5 joints")
    mark = page.locator("[data-mark]").last
    weld, ring = mark.get_attribute("data-at"), mark.get_attribute("data-label")
    foreman.drag(place_in(mark.locator("a")), (60, 40))
    expect(mark).not_to_have_attribute("data-label", ring)
    expect(mark).to_have_attribute("data-at", weld)
    expect(left).to_contain_text("5 joints")
    ring = mark.get_attribute("data-label")
    foreman.drag(place_in(mark.locator(".mark-place")), (30, -20))
    expect(mark).not_to_have_attribute("data-at", weld)
    expect(mark).not_to_have_attribute("data-label", ring)
    for place in range(5):
        foreman.tap(place_in(page.locator("[data-drawing] svg"), 60, 60 + 30 * place))
        expect(page.locator("[data-mark]")).to_have_count(3 + place)
    # With none left, a stray tap moves nothing.
    stand = [one.get_attribute("data-at") for one in page.locator("[data-mark]").all()]
    foreman.tap(place_in(page.locator("[data-drawing] svg"), 200, 60))
    expect(page.locator("[data-told]")).to_have_text("Choose the joint to move first.")
    assert [one.get_attribute("data-at") for one in page.locator("[data-mark]").all()] == stand
    foreman.look_closely()
    foreman.leave_by(lambda: page.locator("[data-mark] a").first.press("Enter"))
    expect(page.locator("main")).to_contain_text("OB-DR-601")


def test_a_pass_is_set_on_the_dial(crew: Crew) -> None:
    welder = crew("welder")
    page = welder.page
    page.goto(f"{welder.site}{JOB}weld-log/?state=in+progress")
    welder.leave_by(page.locator("#log tbody tr").first.get_by_role("rowheader").get_by_role("link").click)
    welder.press(re.compile("^Record pass"))
    dial, says = page.locator(".dial-face"), page.locator(".dial-says")
    middle, box = place_in(dial), dial.bounding_box()
    assert box
    ring = box["width"] * 96 / 260
    welder.tap((middle[0] + ring, middle[1]))
    expect(welder.box("Started at")).to_have_value("3")
    welder.tap((middle[0], middle[1] + ring))
    expect(welder.box("Stopped at")).to_have_value("6")
    expect(says).to_have_text("stop 6")
    welder.drag((middle[0] + ring, middle[1]), (-ring, -ring))
    expect(welder.box("Started at")).to_have_value("12")
    expect(says).to_have_text("start 12")
    expect(welder.box("Stopped at")).to_have_value("6")
    welder.box("Started at").fill("1:30")
    expect(says).to_have_text("start 1:30")
    expect(page.locator(".dial-clear")).to_contain_text("° from pass")
    welder.look_closely()
    welder.box("Started at").fill("")
    welder.box("Stopped at").fill("")
    dial.scroll_into_view_if_needed()
    middle = place_in(dial)
    welder.tap((middle[0] + ring, middle[1]))
    # A thumb comes down beside the middle of the mark, and is not quite still.
    welder.drag((middle[0] + ring, middle[1] + 0.09 * ring), (2, 2))
    expect(welder.box("Started at")).to_have_value("3")
    expect(welder.box("Stopped at")).to_have_value("3")


def test_a_route_is_written_row_by_row(crew: Crew) -> None:
    engineer = crew("engineer")
    page = open_line(engineer, "HO-301").page
    engineer.leave_by(page.get_by_role("link", name="Open the route of OB-HO-301/1").click)
    rest = page.get_by_label("The rest of step 5", exact=True)
    expect(rest).to_have_value("up 3' 6\"")
    engineer.press("Insert below step 5")
    expect(page.get_by_label("The rest of step 6", exact=True)).to_be_focused()
    engineer.press("Delete step 6")
    rest.fill("up 3 feet or so")
    engineer.press("Look at what it does")
    expect(page.locator("section.faults")).to_contain_text("Line 5")
    engineer.look_closely()
    rest.fill("up 4' 6\"")
    engineer.press("Look at what it does")
    expect(page.get_by_role("heading", name="What it does")).to_be_visible()
    fill(engineer, {"Revision of the drawing": "4", "Why": "The pump came up a foot"})
    engineer.press("Apply the route")
    expect(page.get_by_role("status").first).to_be_visible()
    expect(page.get_by_label("The rest of step 5", exact=True)).to_have_value("up 4' 6\"")
    expect(page.locator("h1")).to_contain_text("revision 4")
