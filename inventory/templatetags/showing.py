"""What templates write numbers with: `{{ mg|mass }}`, `{{ figure|number }}`, `{% unit %}`."""

from decimal import Decimal

from django import template

from inventory.queries.showing import shown_mass, shown_number, shown_unit
from inventory.rules.area import area_shown

register = template.Library()


@register.filter
def mass(mg: object) -> str:
    """Write milligrams in the person's unit, without the unit; nothing for nothing."""
    return "" if mg in (None, "") else shown_mass(int(str(mg)))


@register.filter
def number(figure: object) -> str:
    """Write a number with the person's decimal sign; nothing for nothing."""
    return "" if figure in (None, "") else shown_number(figure)


@register.filter
def area(square_metres: object) -> str:
    """Write an area with its unit, "0.80 ha" or "14.4 m²"; nothing for nothing."""
    if square_metres in (None, ""):
        return ""
    figure, in_unit = area_shown(Decimal(str(square_metres)))
    return f"{shown_number(figure)} {in_unit}"


@register.simple_tag
def unit() -> str:
    """Name the unit in which masses are shown."""
    return shown_unit()
