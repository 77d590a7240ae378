"""The tour of each document is walked step by step: a label, a button or a joint that it says wrongly stops the walk."""

import pytest

from tests.journeys.conftest import Meet
from tests.journeys.tours import ROOT, STEP, Step, Walker, steps
from tests.journeys.visitor import DESK, PHONE, Visitor

pytestmark = pytest.mark.journey
HEADING = "A tour of the demonstration"
TOURS = {
    # document: its heading, and the device that its reader holds
    "README.md": ("A short tour", DESK),
    "docs/welder.md": (HEADING, PHONE),
    "docs/foreman.md": (HEADING, DESK),
    "docs/inspector.md": (HEADING, PHONE),
    "docs/engineer.md": (HEADING, DESK),
    "docs/client.md": (HEADING, DESK),
    "docs/administrator.md": (HEADING, DESK),
}
LEAST_STEPS = 4


@pytest.fixture
def walker(meet: Meet, request: pytest.FixtureRequest) -> Walker:
    _, device = TOURS[getattr(request, "param", "README.md")]

    def met(name: str) -> Visitor:
        person = meet(name, device)
        # Journeys hold each page against the standards; a tour holds the document against the pages.
        person.is_looking = False
        return person

    return Walker(met)


@pytest.mark.parametrize(("document", "walker"), [(name, name) for name in TOURS], ids=list(TOURS), indirect=["walker"])
def test_the_tour_of_a_document_can_be_walked_as_it_is_written(document: str, walker: Walker) -> None:
    listed = steps(document, TOURS[document][0])
    assert len(listed) >= LEAST_STEPS
    for step in listed:
        walker.walk(step)


def test_each_role_has_a_tour() -> None:
    with_tour = {
        str(path.relative_to(ROOT)) for path in ROOT.glob("docs/*.md") if f"\n## {HEADING}\n" in path.read_text("utf-8")
    }
    assert with_tour == set(TOURS) - {"README.md"}
    assert all(STEP.findall((ROOT / name).read_text("utf-8")) for name in TOURS)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("As `foreman` press **Hand out**.", "something to press called Hand out"),
        ("As `foreman`: under **Ready to weld** press **assign**.", "a part called Ready to weld"),
        ("As `foreman`, admire **Stopped**.", "does not tell what to do with **Stopped**"),
        ("As `foreman`: under **Ready to assign** press **assign** beside joint 77 of OB-BR-102/2.", "called assign"),
    ],
)
def test_a_step_that_says_something_wrong_stops_the_walk(words: str, said: str, walker: Walker) -> None:
    with pytest.raises(AssertionError, match=said.replace("*", r"\*")):
        walker.walk(Step(1, words))
