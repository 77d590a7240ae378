"""Write the tags of form fields directly: Django renders a template for each input, option and attribute of a page."""

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from django.forms.renderers import DjangoTemplates
from django.http import HttpRequest
from django.utils.html import conditional_escape, format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe

Values = Mapping[str, Any]


class FormTags(DjangoTemplates):
    """The renderer of every form: the tags that pages are made of by hand, anything rarer by Django's own template."""

    def render(self, template_name: str, context: dict[str, Any], request: HttpRequest | None = None) -> str:
        """The same tag as Django's template of this name makes."""
        if write := _WRITERS.get(template_name):
            return write(context)
        return super().render(template_name, context, request)


def attributes(values: Values) -> SafeString:
    """Attributes of a tag, each after a space; one that is True stands alone, one that is False is left out."""
    said = (
        f" {name}" if value is True else f' {name}="{conditional_escape(value)}"'
        for name, value in values.items()
        if value is not False
    )
    return mark_safe("".join(said))


def _input(context: Values) -> SafeString:
    tag = context["widget"]
    own = {"type": tag["type"], "name": tag["name"]}
    if tag["value"] is not None:
        own["value"] = str(tag["value"])
    return format_html("<input{}{}>", attributes(own), attributes(tag["attrs"]))


def _choice(context: Values) -> SafeString:
    """A radio button or a tick, within its label where no page writes one beside it."""
    tag = context["widget"]
    if not tag["wrap_label"]:
        return _input(context)
    return format_html("<label{}>{} {}</label>", _label_for(tag), _input(context), tag["label"])


def _label_for(tag: Values) -> SafeString:
    return attributes({"for": tag["attrs"]["id"]} if tag["attrs"].get("id") else {})


def _select(context: Values) -> SafeString:
    tag = context["widget"]
    groups = format_html_join("", "{}", ((_group(name, options),) for name, options, _ in tag["optgroups"]))
    return format_html("<select{}>{}\n</select>", attributes({"name": tag["name"], **tag["attrs"]}), groups)


def _group(name: str | None, options: Iterable[Values]) -> SafeString:
    written = format_html_join(
        "",
        "\n  <option{}>{}</option>",
        ((attributes({"value": str(one["value"]), **one["attrs"]}), one["label"]) for one in options),
    )
    return format_html('\n  <optgroup label="{}">{}\n  </optgroup>', name, written) if name else written


def _textarea(context: Values) -> SafeString:
    tag = context["widget"]
    own = attributes({"name": tag["name"], **tag["attrs"]})
    return format_html("<textarea{}>\n{}</textarea>", own, tag["value"] or "")


def _faults(context: Values) -> SafeString:
    faults = context["errors"]
    if not faults:
        return mark_safe("")
    of = {"id": f"{faults.field_id}_error"} if faults.field_id else {}
    said = format_html_join("", "<li>{}</li>", ((one,) for one in faults))
    return format_html("<ul{}>{}</ul>", attributes({"class": context["error_class"], **of}), said)


_INPUTS = ("text", "number", "date", "time", "hidden", "checkbox")
_WRITERS: dict[str, Callable[[Values], SafeString]] = {
    **{f"django/forms/widgets/{name}.html": _input for name in _INPUTS},
    **{f"django/forms/widgets/{name}_option.html": _choice for name in ("radio", "checkbox")},
    "django/forms/widgets/select.html": _select,
    "django/forms/widgets/textarea.html": _textarea,
    "django/forms/errors/list/default.html": _faults,
}
