"""The tags of form fields, held against Django's own templates for the same fields."""

from html.parser import HTMLParser
from typing import Any

import pytest
from django import forms
from django.forms.renderers import DjangoTemplates

from weldtrack.form_tags import FormTags

WORDS = (("a", 'Smith & "Sons"'), ("b", "<b>"), ("", "none"))
GROUPED = (("One & two", (("1", "one"), ("2", "two"))), ("3", "three"))


class Everything(forms.Form):
    """A field of every kind that the pages have, and one that they haven't."""

    HIDDEN = forms.CharField(widget=forms.HiddenInput(attrs={"data-now": ""}))
    text = forms.CharField(label="A & B", help_text="Which?", widget=forms.TextInput(attrs={"inputmode": "numeric"}))
    number = forms.IntegerField(widget=forms.NumberInput(attrs={"class": "measure"}), min_value=0)
    date = forms.DateField(widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}))
    time = forms.TimeField(widget=forms.TimeInput(format="%H:%M", attrs={"type": "time"}))
    tick = forms.BooleanField(required=False)
    off = forms.CharField(disabled=True)
    long = forms.CharField(widget=forms.Textarea(attrs={"rows": 3}))
    one = forms.ChoiceField(choices=WORDS, required=False)
    grouped = forms.ChoiceField(choices=GROUPED)
    round = forms.ChoiceField(choices=WORDS, widget=forms.RadioSelect)
    several = forms.MultipleChoiceField(choices=WORDS, widget=forms.CheckboxSelectMultiple)
    file = forms.FileField(required=False)
    password = forms.CharField(widget=forms.PasswordInput)


FIRST = {"text": 'x "y" <z>', "number": 0, "tick": True, "long": "</textarea>&", "one": "b", "grouped": "2"}
FIRST |= {"round": "a", "several": ["a", "b"], "date": "2026-11-04", "time": "07:30", "HIDDEN": "h", "off": "o"}
ASKED = [
    {"initial": FIRST},
    {},
    {"data": {}},
    {"data": FIRST | {"number": "<1>", "one": "<c>", "grouped": "9", "date": "soon", "round": "x"}},
]


class Read(HTMLParser):
    """The tags and words of a page, without the space between them."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.found: list[Any] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: Any) -> None:
        self.found.append((tag, sorted(attrs)))

    def handle_endtag(self, tag: str) -> None:
        self.found.append(tag)

    def handle_data(self, data: str) -> None:
        if words := data.strip():
            self.found.append(words)


@pytest.mark.parametrize("asked", ASKED)
@pytest.mark.parametrize("field", Everything.base_fields)
def test_a_field_has_the_tags_of_djangos_templates(field: str, asked: dict[str, Any]) -> None:
    ours, django = Everything(renderer=FormTags(), **asked), Everything(renderer=DjangoTemplates(), **asked)
    assert _tags(ours[field]) == _tags(django[field])


def _tags(field: forms.BoundField) -> list[Any]:
    choices = "".join(choice.tag() + str(choice) for choice in field)
    return Read(f"{field}{field.errors}{choices}").found


def test_a_text_area_keeps_its_first_line_empty() -> None:
    """HTML 4.10.11: a newline right after the tag is dropped, so that one stands before what was typed."""
    form = Everything(initial={"long": "\nsecond line"}, renderer=FormTags())
    assert str(form["long"]).endswith(">\n\nsecond line</textarea>")
