"""What templates write numbers with: `{{ mg|mass }}`, `{{ figure|number }}`, `{% unit %}`."""

from django import template

from inventory.queries.showing import shown_mass, shown_number, shown_unit

register = template.Library()


@register.filter
def mass(mg: object) -> str:
    """Write milligrams in the person's unit, without the unit; nothing for nothing."""
    return "" if mg in (None, "") else shown_mass(int(str(mg)))


@register.filter
def number(figure: object) -> str:
    """Write a number with the person's decimal sign; nothing for nothing."""
    return "" if figure in (None, "") else shown_number(figure)


@register.simple_tag
def unit() -> str:
    """Name the unit in which masses are shown."""
    return shown_unit()
