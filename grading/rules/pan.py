"""The pan in whole numbers: every weight of a portion in one unit so small that nothing is rounded."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import lcm
from types import MappingProxyType

from grading.rules.closure import pan_mistake
from grading.rules.fit import dish_weights, estimated
from grading.rules.gauges import FINE, Gauge, Ready
from grading.rules.portion import Portion
from grading.rules.rule_set import COUNT, PER_MASS, READING, Factor

NOTHING: Mapping[str, tuple[int, int]] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Pan:
    """What lay in the dishes of a portion.

    Attributes:
        weights: of each dish, in the order of `Ready.dishes` [the pan's own unit].
        portion, gross: of what was picked through and of the uncleaned sample; 0 if not given [same unit].
        counts: pieces of each dish; empty where nothing is read by count.
        pieces: of the whole portion; 0 if not given.
        read_off: factor -> what was read of it, or counted in so many grams, as top and bottom of a hundredth, so that
            a hundred times it is the number that people read.
        overlaps: places of dishes, and the weight that lies in all of them [same unit].
    """

    weights: tuple[int, ...]
    portion: int
    gross: int
    counts: tuple[int, ...]
    pieces: int
    read_off: Mapping[str, tuple[int, int]]
    overlaps: tuple[tuple[tuple[int, ...], int], ...]

    def share(self, gauge: Gauge) -> tuple[int, int]:
        """Give a factor's exact share as top and bottom; bottom 0 where there was nothing to read it on."""
        if gauge.plain and not self.overlaps:
            top, weights = 0, self.weights
            for place in gauge.plain:
                top += weights[place]
            return top, self.portion
        if gauge.taken_by in (READING, PER_MASS):
            return self.read_off.get(gauge.factor, (0, 0))
        if gauge.taken_by == COUNT:
            return _summed(gauge, self.counts), self.pieces * gauge.times_whole
        top, bottom = _summed(gauge, self.weights), (self.gross if gauge.on_gross else self.portion) * gauge.times_whole
        if self.overlaps:
            top -= self._twice(gauge)
        return self._allowed(gauge, top, bottom) if gauge.allowances else (top, bottom)

    def _twice(self, gauge: Gauge) -> int:
        """What lies in several dishes of one factor counts once, as the one of them that counts most."""
        times = dict(gauge.places)
        found = [([times[place] for place in places if place in times], weight) for places, weight in self.overlaps]
        return sum((sum(counted) - max(counted)) * weight for counted, weight in found if counted)

    def _allowed(self, gauge: Gauge, top: int, bottom: int) -> tuple[int, int]:
        """Leave out what the class may hold beside its total, as far as it is there."""
        left_out = sum(
            min(self.weights[place] * times * FINE, gauge.allowances[place] * bottom)
            for place, times in gauge.places
            if place in gauge.allowances
        )
        return top * FINE - left_out, bottom * FINE


def _summed(gauge: Gauge, dishes: tuple[int, ...]) -> int:
    return sum([dishes[place] * times for place, times in gauge.places])


def pan_of(ready: Ready, portion: Portion) -> Pan:
    """Bring a portion into whole numbers.

    Raises:
        KeyError: a dish that the rule set does not know.
    """
    is_plain = not portion.counts or not estimated(ready.rule_set, portion)
    weighed = portion.weights_g if is_plain else dish_weights(ready.rule_set, portion)
    ratios = [grams.as_integer_ratio() for grams in _amounts(portion, weighed)]
    unit = lcm(*[bottom for _top, bottom in ratios])
    whole = [top * (unit // bottom) for top, bottom in ratios]
    weights, place = [0] * len(ready.dishes), ready.place
    for name, weight in zip(weighed, whole[2:], strict=False):
        weights[place[name]] += weight
    counts = portion.counts
    return Pan(
        weights=tuple(weights),
        portion=whole[0],
        gross=whole[1],
        counts=_counted(ready, counts) if counts else (0,) * len(weights),
        pieces=counts.get("portion", 0),
        read_off=_read_off(ready, portion) if ready.read_off else NOTHING,
        overlaps=tuple(
            (tuple({place[name] for name in overlap.factors}), weight)
            for overlap, weight in zip(portion.overlaps, whole[2 + len(weighed) :], strict=True)
        ),
    )


def _read_off(ready: Ready, portion: Portion) -> dict[str, tuple[int, int]]:
    """Give what was read, and what was counted in so many grams; what was not given is left out."""
    found: dict[str, tuple[int, int]] = {}
    for factor in ready.read_off:
        value = _in_so_many_grams(factor, portion) if factor.taken_by == PER_MASS else portion.reading(factor.reads)
        if value is not None:
            found[factor.name] = (Fraction(value) / 100).as_integer_ratio()
    return found


def _in_so_many_grams(factor: Factor, portion: Portion) -> Fraction | None:
    """Pieces in the grams that the rule says, from those of the portion; not rounded."""
    pieces = [portion.counts[name] for name in (factor.name, *factor.also_called) if name in portion.counts]
    if not pieces or not portion.portion_g:
        return None
    return sum(pieces) * Fraction(factor.per_g or "0") / Fraction(portion.portion_g)


def plain_pan(ready: Ready, portion: Portion) -> Pan | None:
    """Bring a portion into whole numbers if it is plainly right: known names, and weights that can be true together.

    Returns:
        None where something may be wrong: `fit` then says what, or that nothing is.
    """
    counts = portion.counts
    if not ready.is_plain or portion.overlaps or portion.readings or ready.rule_set.is_for_seed:
        return None
    if counts and (len(counts) > 1 or "portion" not in counts):
        return None
    try:
        pan = pan_of(ready, portion)
    except KeyError:
        return None
    return pan if _fits(pan, portion) and _words_are_known(ready, portion) else None


def _fits(pan: Pan, portion: Portion) -> bool:
    if not 0 < pan.portion >= sum(pan.weights):
        return False
    gross, off, sound = portion.gross_g, portion.dockage_g, portion.sound_g
    if gross is None or off is None:
        return gross is off and (sound is None or not pan_mistake(portion.portion_g, portion.weights_g, sound))
    if not 0 <= off < gross or portion.portion_g > gross - off:
        return False
    return sound is None or not pan_mistake(portion.portion_g, portion.weights_g, sound)


def _words_are_known(ready: Ready, portion: Portion) -> bool:
    if not all(word in ready.words[thing] for thing, word in portion.judged.items() if thing in ready.words):
        return False
    return all(stop in ready.rule_set.stops for stop in portion.stops)


def _amounts(portion: Portion, weighed: Mapping[str, Decimal]) -> Iterator[Decimal | int]:
    yield portion.portion_g
    yield portion.gross_g or 0
    yield from weighed.values()
    yield from (overlap.grams for overlap in portion.overlaps)


def _counted(ready: Ready, counts: Mapping[str, int]) -> tuple[int, ...]:
    found = [0] * len(ready.dishes)
    for name, pieces in counts.items():
        if name in ready.place:
            found[ready.place[name]] += pieces
    return tuple(found)
