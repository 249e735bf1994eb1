"""What the factors of a written rule set mean: sums that close, parts that are fractions, one basis a sum."""

import re
from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import Any

from grading.rules.mistakes import RuleSetFault, UnknownWord
from grading.rules.rule_form_shape import the_place
from grading.rules.rule_set import CLEANED, COUNT, GROSS, LEAST, MOST, PER_MASS, READING, WEIGHT
from inventory.rules.mistakes import Mistake

_PART = re.compile(r"[1-9][0-9]{0,2}/[1-9][0-9]{0,2}")
_GRAMS = re.compile(r"[0-9]{1,6}")
_MASS = re.compile(r"[0-9]{1,6}(\.[0-9]{1,3})?")
_READS = re.compile(r"[a-z][a-z0-9_]{0,39}_pct")
_WAYS = (WEIGHT, COUNT, READING, PER_MASS)


def factor_faults(factors: Mapping[str, Any]) -> Iterator[Mistake]:
    """Yield every fault of well-shaped factors, each at its JSON pointer."""
    open_sums = list(_sum_faults(factors))
    yield from open_sums
    for name, factor in factors.items():
        yield from _own_faults(name, factor)
        if not open_sums:
            yield from _twice(factors, name)
            yield from _mixed(factors, name)


def dishes_of(factors: Mapping[str, Any], name: str) -> list[str]:
    """List the dishes that a factor is made of, a dish as often as it is summed."""
    parts = factors.get(name, {}).get("sum_of")
    return [dish for part in parts for dish in dishes_of(factors, part)] if parts else [name]


def parts_of(factors: Mapping[str, Any], name: str) -> dict[str, Fraction]:
    """Give the part of each dish that a factor counts, where it is not the whole [1]."""
    entry = factors[name]
    found: dict[str, Fraction] = {}
    for part in entry.get("sum_of", ()):
        counted = Fraction(entry.get("counted", {}).get(part, 1))
        inner = parts_of(factors, part)
        found |= {dish: counted * inner.get(dish, 1) for dish in dishes_of(factors, part)}
    return {dish: part for dish, part in found.items() if part != 1}


def grams_fault(value: object, pointer: str) -> Iterator[Mistake]:
    """Refuse a least weight that is not whole grams as text; null is none."""
    if value is not None and not (isinstance(value, str) and _GRAMS.fullmatch(value)):
        yield RuleSetFault(
            f'{the_place(pointer)} is {value!r}. Write whole grams as text such as "1000".', field=pointer
        )


def _sum_faults(factors: Mapping[str, Any]) -> Iterator[Mistake]:
    for name, factor in factors.items():
        pointer = f"/factors/{name}/sum_of"
        for part in factor.get("sum_of", []):
            if part not in factors:
                yield UnknownWord("factor", part, factors, pointer)
        if _reaches(factors, name, name):
            yield RuleSetFault(f"{name} is summed from itself. Name the dishes it is made of.", field=pointer)


def _own_faults(name: str, factor: Mapping[str, Any]) -> Iterator[Mistake]:
    pointer, sums = f"/factors/{name}", factor.get("sum_of", [])
    taken_by = factor.get("taken_by", WEIGHT)
    if taken_by not in _WAYS:
        yield UnknownWord("way to take a factor", taken_by, _WAYS, f"{pointer}/taken_by")
    if taken_by in (READING, PER_MASS) and (sums or factor.get("basis", CLEANED) != CLEANED):
        how = "read off" if taken_by == READING else "counted in so many grams"
        yield RuleSetFault(f"{name} is {how}, and stands alone. Leave out its sum_of and its basis.", field=pointer)
    yield from _read_off_faults(name, factor, taken_by)
    for part, counted in factor.get("counted", {}).items():
        if part not in sums:
            yield UnknownWord(f"part of {name}", part, sums, f"{pointer}/counted")
        elif not _PART.fullmatch(counted) or Fraction(counted) > 1:
            says = f'{name} counts {part} by {counted!r}. Write the part as text such as "1/2", at most the whole.'
            yield RuleSetFault(says, field=f"{pointer}/counted/{part}")
    yield from grams_fault(factor.get("least_portion_g"), f"{pointer}/least_portion_g")


def _read_off_faults(name: str, factor: Mapping[str, Any], taken_by: str) -> Iterator[Mistake]:
    """Refuse what only a reading, or only a count in so many grams, may have."""
    pointer, grams, reads = f"/factors/{name}", factor.get("per_g"), factor.get("reads")
    if factor.get("limit_is", MOST) not in (MOST, LEAST):
        yield UnknownWord("side of a limit", factor["limit_is"], (MOST, LEAST), f"{pointer}/limit_is")
    if factor.get("limit_is") == LEAST and taken_by not in (READING, PER_MASS):
        says = f"{name} is a share of the portion. Only what is read off or counted in so many grams has a least."
        yield RuleSetFault(says, field=f"{pointer}/limit_is")
    if taken_by == PER_MASS and not (grams and _MASS.fullmatch(grams) and Fraction(grams)):
        says = f'{name} is counted in {grams or "no"} grams. Write the grams as per_g, as text such as "1000".'
        yield RuleSetFault(says, field=f"{pointer}/per_g")
    elif taken_by != PER_MASS and grams is not None:
        says = f'per_g is of factors with taken_by "{PER_MASS}"; {name} is taken by {taken_by}. Leave it out.'
        yield RuleSetFault(says, field=f"{pointer}/per_g")
    if reads is not None and (taken_by != READING or not _READS.fullmatch(reads)):
        says = f'reads names the reading of a factor with taken_by "{READING}", such as "germination_pct".'
        yield RuleSetFault(f"{says} {name} has {reads!r}.", field=f"{pointer}/reads")


def _reaches(factors: Mapping[str, Any], start: str, goal: str) -> bool:
    seen, to_see = set(), list(factors[start].get("sum_of", []))
    while to_see:
        part = to_see.pop()
        if part == goal:
            return True
        if part not in seen and part in factors:
            seen.add(part)
            to_see += factors[part].get("sum_of", [])
    return False


def _twice(factors: Mapping[str, Any], name: str) -> Iterator[Mistake]:
    dishes = dishes_of(factors, name)
    for dish in sorted({dish for dish in dishes if dishes.count(dish) > 1}):
        says = f"{name} sums {dish} twice. Name each dish once, directly or inside a total."
        yield RuleSetFault(says, field=f"/factors/{name}/sum_of")


def _mixed(factors: Mapping[str, Any], name: str) -> Iterator[Mistake]:
    dishes = dishes_of(factors, name)
    bases = {factors[dish].get("basis", CLEANED) for dish in dishes}
    if bases != {factors[name].get("basis", CLEANED)} or not bases <= {CLEANED, GROSS}:
        says = f'{name} stands on {", ".join(sorted(bases))}. Use "cleaned" or "gross", the same for all its dishes.'
        yield RuleSetFault(says, field=f"/factors/{name}/basis")
    ways = {factors[dish].get("taken_by", WEIGHT) for dish in dishes}
    own = factors[name].get("taken_by", WEIGHT)
    if ways != {own}:
        says = f"{name} is taken by {own}, its dishes by {', '.join(sorted(ways))}."
        says += " Sum only what is taken in one way, and say it of the sum too."
        yield RuleSetFault(says, field=f"/factors/{name}")
