"""Fields of an act's form in a template: `{% field form "gross" %}`, label, hint and errors included."""

from collections.abc import Iterator
from typing import Any

from django import template

register = template.Library()


@register.inclusion_tag("inventory/_field.html")
def field(form: Any, name: str, label: str = "", hint: str | None = None, **more: str) -> dict[str, Any]:
    """Show one field of a form.

    Args:
        label, hint: other words than the act's own; an empty hint leaves it out.
        more: `list` (id of a datalist), `mode` (inputmode), `size` ("large" where gloves touch), `scan` (kinds of thing
            that a scan puts here), `many` (a scan joins what is there), `scale` (what a scale sends goes here, wherever
            the cursor is), `focus` (the cursor starts here), `go` (a scan put here sends the form), `ask` (a second
            scan is asked about at this address).
    """
    found = form.field(name)
    return {"field": found, "label": label or found.label, "hint": found.hint if hint is None else hint, **more}


@register.filter
def rest(form: Any, names: str) -> Iterator[Any]:
    """Give the parts of a form that a template has not placed itself: `form|rest:"plots gross tare"`."""
    placed = names.split()
    return (part for part in form.parts if part.name not in placed)


@register.filter
def is_group(part: Any) -> bool:
    """Say whether a part is a list of rows."""
    return hasattr(part, "rows")
