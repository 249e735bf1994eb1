"""Does a portion fit a rule set: known names, and weights that can be true together."""

from collections.abc import Iterator, Mapping
from decimal import Decimal

from grading.rules.closure import pan_mistake
from grading.rules.dockage import portion_mistakes
from grading.rules.mistakes import DockageHalfGiven, HeavierThanPortion, Missing, OutOfRange, UnknownWord
from grading.rules.portion import Portion
from grading.rules.rule_set import COUNT, GROSS, MOISTURE, PER_MASS, READING, WEIGHT, RuleSet, folded_class
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import listed


def name_mistakes(rule_set: RuleSet, portion: Portion) -> Iterator[Mistake]:
    """Yield the class, dishes, words and findings that the rule set does not know."""
    if portion.class_name and folded_class(portion.class_name) not in rule_set.table_by_class:
        yield UnknownWord(f"class of {rule_set.id}", portion.class_name, rule_set.classes, "class")
    dishes = dishes_of(rule_set)
    for where, names in (("weights_g", portion.weights_g), ("counts", portion.counts)):
        for name in names:
            is_counted = where == "counts" and (name == "portion" or _is_counted_in_grams(rule_set, name))
            if not _is_dish(rule_set, name) and not is_counted:
                yield _no_dish(rule_set, name, dishes, where)
    for place, overlap in enumerate(portion.overlaps):
        for name in overlap.factors:
            if not _is_dish(rule_set, name):
                yield UnknownWord(f"dish of {rule_set.id}", name, dishes, f"overlap_g.{place}")
    yield from _word_mistakes(rule_set, portion)
    yield from _reading_mistakes(rule_set, portion)


def weight_mistakes(rule_set: RuleSet, portion: Portion) -> Iterator[Mistake]:
    """Yield the weights that can't be true together; names must be known."""
    yield from portion_mistakes(portion.portion_g, portion.gross_g, portion.dockage_g)
    yield from _dockage_mistakes(rule_set, portion)
    weights = dish_weights(rule_set, portion)
    heavy = [(name, grams) for name, grams in weights.items() if grams > basis_g(rule_set, portion, name)]
    for name, grams in heavy:
        words = rule_set.factors[name].words.capitalize()
        yield HeavierThanPortion(words, grams, basis_g(rule_set, portion, name), f"weights_g.{name}")
    yield from _overlap_mistakes(rule_set, portion, weights)
    together = once_g(cleaned_weights(rule_set, weights), rule_set, portion)
    if not heavy and together > portion.portion_g > 0:
        yield HeavierThanPortion("All dishes together", together, portion.portion_g, "weights_g")
    yield from _estimate_mistakes(rule_set, portion)
    if portion.sound_g is not None and portion.portion_g > 0:
        open_pan = pan_mistake(portion.portion_g, _pan(rule_set, portion, weights), portion.sound_g)
        yield from [open_pan] if open_pan else []
    yield from _count_mistakes(rule_set, portion, weights)


def dishes_of(rule_set: RuleSet) -> tuple[str, ...]:
    """List the dishes of a rule set."""
    return tuple(name for name, factor in rule_set.factors.items() if factor.is_dish)


def dish_weights(rule_set: RuleSet, portion: Portion) -> dict[str, Decimal]:
    """Give every dish its weight by the name in the rule set; a counted one through the 100-seed weight [g]."""
    weights = dict.fromkeys(dishes_of(rule_set), Decimal(0))
    for name, pieces in estimated(rule_set, portion).items():
        weights[name] = pieces * (portion.seed_weight_g_per_100 or Decimal(0)) / 100
    for name, grams in portion.weights_g.items():
        weights[rule_set.factor_by_any_name[name].name] += grams
    return weights


def estimated(rule_set: RuleSet, portion: Portion) -> dict[str, int]:
    """Give the dishes that were counted and not weighed, though the rule set weighs them."""
    weighed = {rule_set.factor_by_any_name[name].name for name in portion.weights_g}
    counted = {
        rule_set.factor_by_any_name[name].name: pieces for name, pieces in portion.counts.items() if name != "portion"
    }
    return {
        name: pieces
        for name, pieces in counted.items()
        if pieces and name not in weighed and rule_set.factors[name].taken_by == WEIGHT
    }


def basis_g(rule_set: RuleSet, portion: Portion, factor: str) -> Decimal:
    """Give the weight that a factor's per cent stands on [g]."""
    on_gross = rule_set.factors[factor].basis == GROSS
    return portion.gross_g if on_gross and portion.gross_g is not None else portion.portion_g


def once_g(weights: Mapping[str, Decimal], rule_set: RuleSet, portion: Portion) -> Decimal:
    """Sum dishes so that what lies in several of them counts once [g]."""
    total = sum(weights.values(), Decimal(0))
    for overlap in portion.overlaps:
        shared = sum(rule_set.factor_by_any_name[name].name in weights for name in overlap.factors)
        total -= overlap.grams * max(0, shared - 1)
    return total


def cleaned_weights(rule_set: RuleSet, weights: Mapping[str, Decimal]) -> dict[str, Decimal]:
    """Keep the dishes that came out of the portion [g]."""
    return {name: grams for name, grams in weights.items() if rule_set.factors[name].basis != GROSS}


def _is_counted_in_grams(rule_set: RuleSet, name: str) -> bool:
    factor = rule_set.factor_by_any_name.get(name)
    return factor is not None and factor.taken_by == PER_MASS


def _no_dish(rule_set: RuleSet, name: str, dishes: tuple[str, ...], where: str) -> Mistake:
    if _is_counted_in_grams(rule_set, name):
        words = rule_set.factor_by_any_name[name].words
        return OutOfRange(f"{rule_set.id} counts {words}. Give the pieces as counts.{name}.", field=f"{where}.{name}")
    counted = [each.name for each in rule_set.factors.values() if each.taken_by == PER_MASS]
    known = (*dishes, *counted) if where == "counts" else dishes
    return UnknownWord(f"dish of {rule_set.id}", name, known, f"{where}.{name}")


def _is_dish(rule_set: RuleSet, name: str) -> bool:
    factor = rule_set.factor_by_any_name.get(name)
    return factor is not None and factor.is_dish


def _word_mistakes(rule_set: RuleSet, portion: Portion) -> Iterator[Mistake]:
    for thing, word in portion.judged.items():
        judged = rule_set.judged.get(thing)
        if judged is not None and word not in judged.best_first:
            yield UnknownWord(f"{judged.words}", word, judged.best_first, f"appearance.{thing}")
    for finding in portion.stops:
        if finding not in rule_set.stops:
            yield UnknownWord(f"stop of {rule_set.id}", finding, rule_set.stops, "stops")


def _reading_mistakes(rule_set: RuleSet, portion: Portion) -> Iterator[Mistake]:
    """Yield readings that are not known, and under rules for seed whatever they ask and was not given."""
    known = {factor.reads for factor in rule_set.factors.values() if factor.taken_by == READING}
    for name in portion.readings:
        if name not in known:
            yield UnknownWord(f"reading of {rule_set.id}", name, known, f"readings.{name}")
    if rule_set.is_for_seed and folded_class(portion.class_name) in rule_set.table_by_class:
        yield from _not_given(rule_set, portion)


def _not_given(rule_set: RuleSet, portion: Portion) -> Iterator[Mistake]:
    """A seed grade is a claim of all that its table asks: nothing may be passed over."""
    _, table = rule_set.table_by_class[folded_class(portion.class_name)]
    asked = dict.fromkeys(name for row in table.grades for name in row.limits)
    for factor in (rule_set.factors[name] for name in asked):
        says = f"{rule_set.id} asks for {factor.words}."
        if factor.taken_by == READING and portion.reading(factor.reads) is None:
            where = factor.reads if factor.reads == MOISTURE else f"readings.{factor.reads}"
            yield Missing(where, f"{says} Give what the test says, in per cent.")
        elif factor.taken_by == PER_MASS and not portion.counts.keys() & {factor.name, *factor.also_called}:
            yield Missing(f"counts.{factor.name}", f"{says} Give the pieces found in the portion; 0 for none.")
    for thing in dict.fromkeys(thing for row in table.grades for thing in row.needs):
        if thing not in portion.judged:
            judged = rule_set.judged[thing]
            says = f"{rule_set.id} asks for {judged.words}. Give {listed(list(judged.best_first))}."
            yield Missing(f"appearance.{thing}", says)


def _dockage_mistakes(rule_set: RuleSet, portion: Portion) -> Iterator[Mistake]:
    on_gross = any(rule_set.factors[name].basis == GROSS for name in dishes_of(rule_set))
    if portion.dockage_g is not None and portion.gross_g is None:
        yield DockageHalfGiven("dockage_g", "gross_g")
    elif portion.gross_g is not None and portion.dockage_g is None and not on_gross:
        yield DockageHalfGiven("gross_g", "dockage_g")
    if on_gross and portion.gross_g is None:
        says = f"{rule_set.id} reads some factors on the uncleaned weight. Give gross_g."
        yield OutOfRange(says, field="gross_g")


def _overlap_mistakes(rule_set: RuleSet, portion: Portion, weights: Mapping[str, Decimal]) -> Iterator[Mistake]:
    for place, overlap in enumerate(portion.overlaps):
        names = [rule_set.factor_by_any_name[name].name for name in overlap.factors]
        least = min(names, key=lambda name: weights[name])
        if overlap.grams > weights[least]:
            says = f"{overlap.grams} g should count under {' and '.join(names)}, but {least} weighs {weights[least]} g."
            yield OutOfRange(f"{says} Give each dish its whole weight.", field=f"overlap_g.{place}")


def _estimate_mistakes(rule_set: RuleSet, portion: Portion) -> Iterator[Mistake]:
    for name, pieces in estimated(rule_set, portion).items():
        if portion.seed_weight_g_per_100 is None or not rule_set.factors[name].weighs_like_a_seed:
            says = f"{rule_set.factors[name].words.capitalize()}: {pieces} pieces were counted and not weighed."
            yield OutOfRange(f"{says} Weigh them into weights_g.{name}.", field=f"counts.{name}")


def _count_mistakes(rule_set: RuleSet, portion: Portion, weights: Mapping[str, Decimal]) -> Iterator[Mistake]:
    """Check what the rule set reads by count: pieces are there, and no more than the portion has."""
    counts = {rule_set.factor_by_any_name[name].name: n for name, n in portion.counts.items() if name != "portion"}
    together = 0
    for name, factor in rule_set.factors.items():
        if factor.taken_by != COUNT or not factor.is_dish:
            continue
        together += counts.get(name, 0)
        if name not in counts and weights[name]:
            says = f"{rule_set.id} reads {factor.words} by count. Count the pieces and give counts.{name}."
            yield OutOfRange(says, field=f"counts.{name}")
    pieces = portion.counts.get("portion", 0)
    if together and not pieces:
        says = f"{together} pieces were counted. Count all pieces of the portion too and give counts.portion."
        yield OutOfRange(says, field="counts.portion")
    elif together > pieces:
        says = f"{together} pieces were picked out of a portion of {pieces} pieces. Count again."
        yield OutOfRange(says, field="counts.portion")


def _pan(rule_set: RuleSet, portion: Portion, weights: Mapping[str, Decimal]) -> dict[str, Decimal]:
    pan = cleaned_weights(rule_set, weights)
    doubled = sum(pan.values(), Decimal(0)) - once_g(pan, rule_set, portion)
    return {**pan, "counted twice": -doubled} if doubled else pan
