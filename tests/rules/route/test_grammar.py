"""The document of routes says what the grammar says, and its example is a sound route."""

import re
from pathlib import Path

from rules.route.geometry import shape_of_text
from rules.route.grammar import ITEMS, grammar
from rules.route.parts import Setting

DOCUMENT = Path("docs/routes.md").read_text(encoding="utf-8")


def test_the_document_has_the_grammar():
    assert f"```\n{grammar()}\n```" in DOCUMENT
    assert all(item.does in DOCUMENT for item in ITEMS.values())


def test_the_example_of_the_document_is_sound():
    example = re.findall(r"```\n(start.*?)```", DOCUMENT, re.DOTALL)[0]
    shape = shape_of_text(f"ends butt\n{example}", Setting("2", "40"))
    assert not shape.faults
    assert [one.kind for one in shape.joints] == [
        "butt"
    ] * 12  # two a piece of pipe but its open end, and the field weld
    assert len(shape.spools) == 2
