"""Portions written as lines of text, so that a case reads like a bench sheet."""

from decimal import Decimal

from grading.rules.portion import Portion


def portion(text, **rest):
    """Read "pinto 500.0: splits 2.4, damaged 3.1" into a portion; `rest` goes to Portion as it is."""
    head, _, dishes = text.partition(":")
    class_name, _, grams = head.strip().rpartition(" ")
    weights = [dish.split() for dish in dishes.split(",") if dish.strip()]
    return Portion(class_name, Decimal(grams), {name: Decimal(weight) for name, weight in weights}, **rest)
