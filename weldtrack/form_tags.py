"""Write the tags of form fields directly: Django renders a template for each input, option and attribute of a page."""

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from django.forms.renderers import DjangoTemplates
from django.http import HttpRequest
from django.utils.html import conditional_escape as escaped
from django.utils.safestring import mark_safe

Values = Mapping[str, Any]


class FormTags(DjangoTemplates):
    """The renderer of every form: the tags that pages are made of by hand, anything rarer by Django's own template."""

    def render(self, template_name: str, context: dict[str, Any], request: HttpRequest | None = None) -> str:
        """The same tag as Django's template of this name makes."""
        if write := _WRITERS.get(template_name):
            return mark_safe(write(context))
        return super().render(template_name, context, request)


def attributes(values: Values) -> str:
    """Attributes of a tag, each after a space; one that is True stands alone, one that is False is left out."""
    said = (
        f" {name}" if value is True else f' {name}="{escaped(value)}"'
        for name, value in values.items()
        if value is not False
    )
    return "".join(said)


def _input(context: Values) -> str:
    tag = context["widget"]
    value = "" if tag["value"] is None else f' value="{escaped(tag["value"])}"'
    return f'<input type="{tag["type"]}" name="{escaped(tag["name"])}"{value}{attributes(tag["attrs"])}>'


def _choice(context: Values) -> str:
    """A radio button or a tick, within its label where no page writes one beside it."""
    tag = context["widget"]
    if not tag["wrap_label"]:
        return _input(context)
    of = {"for": tag["attrs"]["id"]} if tag["attrs"].get("id") else {}
    return f"<label{attributes(of)}>{_input(context)} {escaped(tag['label'])}</label>"


def _select(context: Values) -> str:
    tag = context["widget"]
    groups = "".join(_group(name, options) for name, options, _ in tag["optgroups"])
    return f"<select{attributes({'name': tag['name'], **tag['attrs']})}>{groups}\n</select>"


def _group(name: str | None, options: Iterable[Values]) -> str:
    written = "".join(
        f'\n  <option value="{escaped(one["value"])}"{attributes(one["attrs"])}>{escaped(one["label"])}</option>'
        for one in options
    )
    return f'\n  <optgroup label="{escaped(name)}">{written}\n  </optgroup>' if name else written


def _textarea(context: Values) -> str:
    tag = context["widget"]
    own = attributes({"name": tag["name"], **tag["attrs"]})
    return f"<textarea{own}>\n{escaped(tag['value'] or '')}</textarea>"


def _faults(context: Values) -> str:
    faults = context["errors"]
    if not faults:
        return ""
    of = {"id": f"{faults.field_id}_error"} if faults.field_id else {}
    said = "".join(f"<li>{escaped(one)}</li>" for one in faults)
    return f"<ul{attributes({'class': context['error_class'], **of})}>{said}</ul>"


_INPUTS = ("text", "number", "date", "time", "hidden", "checkbox")
_WRITERS: dict[str, Callable[[Values], str]] = {
    **{f"django/forms/widgets/{name}.html": _input for name in _INPUTS},
    **{f"django/forms/widgets/{name}_option.html": _choice for name in ("radio", "checkbox")},
    "django/forms/widgets/select.html": _select,
    "django/forms/widgets/textarea.html": _textarea,
    "django/forms/errors/list/default.html": _faults,
}
