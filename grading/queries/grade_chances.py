"""How likely a portion's lot is of each grade of its table: the rule's rows and readings, put to the statistics."""

from collections.abc import Mapping
from fractions import Fraction

from grading.rules.outcome import Outcome, Reading
from grading.rules.rule_set import NIL
from grading.stats.grade_chance import Dish, GradeChances, Held
from grading.stats.portion_chance import Likely, limit_share

NONE_OF_THESE = "none of these"
GRADE_ADVICE = (
    "Chances of the grades speak of the lot and hold all its weighed limits at once. What was judged by eye, and what "
    "has no chance, is taken as it was found."
)


def grade_chances(
    result: Outcome, sure: Mapping[str, Likely], beans: Mapping[str, Fraction]
) -> dict[str, float] | None:
    """Give the chance that the lot is of each grade.

    Args:
        result: of this portion.
        sure: factor -> how sure it is, for those that have a chance.
        beans: factor -> the pieces that its basis stands for.

    Returns:
        Grade -> chance [1] in the order in which grades win, then that of none of them; None where grading was
        stopped, where a name stands instead of any grade, or where nothing says how many pieces were looked at.
    """
    named = result.named
    is_another = named.change is not None and named.bare == named.change.makes  # a class without a table here
    if not sure or named.stops or named.instead or is_another:
        return None
    dishes = _dishes(result, beans)
    factors = [
        _held(reading, sure[reading.factor.name], dishes) for reading in result.readings if reading.factor.name in sure
    ]
    of_each = GradeChances([each for each in factors if each.limits], dishes).of_each(_possible(result, sure))
    none = of_each.pop("")
    return {grade: round(of_each.get(grade, 0.0), 6) for grade in _order(result)} | {NONE_OF_THESE: round(none, 6)}


def _order(result: Outcome) -> list[str]:
    rows = [grade.name for grade in result.table.grades]
    return [name for name in result.rule_set.name_order or rows if name in rows]


def with_a_chance(reading: Reading) -> Mapping[str, str]:
    """Give a factor's limits that a lot can be within by chance: "nil" is met by finding nothing, whatever is there."""
    return {grade: limit for grade, limit in reading.limits.items() if limit != NIL}


def _possible(result: Outcome, sure: Mapping[str, Likely]) -> list[str]:
    """The grades that nothing but a weighed limit with a chance keeps out."""
    return [
        name
        for name in _order(result)
        if all(missed.thing in sure and missed.limit != NIL for missed in result.short[name])
    ]


def _held(reading: Reading, sure: Likely, dishes: Mapping[str, Dish]) -> Held:
    limits = {grade: limit_share(limit) for grade, limit in with_a_chance(reading).items()}
    return Held(tuple(dish for dish in reading.factor.dishes if dish in dishes), limits, sure.within)


def _dishes(result: Outcome, beans: Mapping[str, Fraction]) -> dict[str, Dish]:
    return {
        name: Dish(float(reading.share), float(beans[name]))
        for reading in result.readings
        if reading.factor.is_dish and (name := reading.factor.name) in beans
    }
