"""What a blend would be before it is made: germination and grade by exact shares. It says, and never stops anybody."""

from collections.abc import Mapping, Sequence
from fractions import Fraction

from django.utils.translation import gettext, ngettext

from grading.queries.blend_limits import LotReads
from grading.queries.blend_lots import BlendLot, blend_lots
from grading.queries.blend_plan import mixed_shares
from grading.queries.blind import lots_hidden_from
from grading.queries.germination import Tested, blend_forecast, germinations_of, newest_valid, threshold_of
from grading.rules.predicted import ADVICE, predict
from grading.rules.rule_set import folded_class
from hilum.plugins import Panel
from inventory.models import Lot, Station
from inventory.queries.today import today_at
from inventory.rules.mistakes import Refused
from inventory.rules.reading import listed
from inventory.rules.rounding import half_up

Rows = list[tuple[str, str]]


def blend_ahead(code: str, parts: Sequence[tuple[str, int]], person: str = "") -> list[Panel]:
    """Foretell a blend (at most 20 queries).

    Args:
        code: the station's.
        parts: number of a lot -> mass that goes in [mg]; what is not known or weighs nothing is passed over.
        person: account that looks; a grade that is hidden from them is not given away by a blend either.
    """
    station = Station.objects.filter(code=code).first()
    masses = {number: mg for number, mg in parts if mg > 0}
    lots = list(Lot.objects.filter(station=station, number__in=masses).order_by("pk")) if station else []
    if station is None or len(lots) < 2:
        return []
    by_lot = {lot.pk: masses[lot.number] for lot in lots}
    tests = {key: test for key, found in germinations_of(station, by_lot).items() if (test := newest_valid(found))}
    graded = _grade_rows(station, lots, by_lot, person)
    return [Panel(gettext("Foretold, before it is done"), (*_germination_rows(station, lots, by_lot, tests), *graded))]


def _germination_rows(
    station: Station, lots: Sequence[Lot], masses: Mapping[int, int], tests: Mapping[int, Tested]
) -> Rows:  # fmt: skip
    name = gettext("Germination")
    mixed = blend_forecast(masses, tests)
    if mixed is None:
        missing = [lot.number for lot in lots if lot.pk not in tests]
        without = ngettext(
            "not foretold: %(lots)s has no valid test", "not foretold: %(lots)s have no valid test", len(missing)
        )
        return [(name, without % {"lots": listed(missing, "and")})]
    of = ", ".join(f"{lot.number} {half_up(tests[lot.pk].result.mean_pct, 0)} %" for lot in lots)
    least = threshold_of(station)
    mark = "✓" if mixed >= least else "✕"
    figures = {"mark": mark, "percent": half_up(mixed, 1), "least": least, "of": of}
    return [(name, gettext("%(mark)s %(percent)s %%, %(least)s wanted (%(of)s)") % figures)]


def _grade_rows(station: Station, lots: Sequence[Lot], masses: Mapping[int, int], person: str) -> Rows:
    name = gettext("Grade")
    found, wrong = blend_lots(station, lots, today_at(station), [lot.number for lot in lots])
    if wrong:
        return [(name, gettext("not foretold: %(why)s") % {"why": one.says}) for one in wrong]
    if lots_hidden_from(station, person) & set(masses):
        return [(name, gettext("hidden from graders until a blind re-grade is in the books"))]
    return [(name, _grade_says(found, masses)), (gettext("How to take it"), gettext(ADVICE))]


def _grade_says(lots: Sequence[BlendLot], masses: Mapping[int, int]) -> str:
    """Read the mix under the rule set of its lots, where that is one."""
    sets = {(lot.graded.rule_set.id, lot.graded.rule_set.edition): lot.graded.rule_set for lot in lots}
    classes = {folded_class(lot.graded.portion.class_name): lot.graded.portion.class_name for lot in lots}
    if len(sets) > 1 or len(classes) > 1:
        return gettext("not foretold: its lots were graded as different classes or under different rules")
    rule_set, class_name = next(iter(sets.values())), next(iter(classes.values()))
    try:
        reads = [LotReads(lot, lot.under(rule_set, class_name)) for lot in lots]
    except Refused as refused:
        return " ".join(mistake.says for mistake in refused.mistakes)
    shares: dict[str, Fraction] = mixed_shares(rule_set, reads, [masses[lot.lot.pk] for lot in lots])
    predicted = predict(rule_set, class_name, shares)
    back = "; ".join(predicted.held_back)
    each = ", ".join(f"{one.lot.number} {one.outcome.grade}" for one in reads)
    held = f": {back}" if back else ""
    return gettext("%(grade)s%(held)s (%(each)s; %(rules)s)") % {
        "grade": predicted.grade, "held": held, "each": each, "rules": f"{rule_set.id}, {rule_set.edition}",
    }  # fmt: skip
