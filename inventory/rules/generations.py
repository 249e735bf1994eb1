"""Generations of seed that was blended and sown on: exact mixtures, and the heterozygosity expected in them."""

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TypeVar

from inventory.rules.heterozygosity import generation_label, heterozygosity

Node = TypeVar("Node", bound=Hashable)
Mixture = Mapping[int | None, Fraction]  # generation -> fraction of the seed; None where it is not known
UNKNOWN: Mixture = {None: Fraction(1)}


@dataclass(frozen=True)
class Source:
    """One source of a node's seed, or a lot that a plot was sown with.

    Args:
        weight: its part of all sources of the node, in any one unit.
        is_sowing: one selfing lies between: it was sown, and what grew was harvested.
    """

    weight: Fraction
    is_sowing: bool = False


def mixtures(
    ref: Node, sources: Mapping[Node, Sequence[tuple[Node, Source]]], declared: Mapping[Node, int]
) -> dict[Node, Mixture]:
    """Work out the generations of a node and of all that it came from.

    Args:
        ref: the node asked about.
        sources: node -> its sources; seed that went in goes before sowings, where a node has both.
        declared: generations that are known as a number; nothing before them is asked.

    Returns:
        Mixtures whose fractions sum to 1.
    """
    found: dict[Node, Mixture] = {}
    waiting = [ref]
    while waiting:
        node = waiting[-1]
        missing = [] if node in declared else [source for source, _ in sources.get(node, ()) if source not in found]
        if missing and node not in found:
            waiting.extend(missing)
            continue
        waiting.pop()
        if node not in found:
            found[node] = {declared[node]: Fraction(1)} if node in declared else _mixed(sources.get(node, ()), found)
    return found


def _mixed(sources: Sequence[tuple[Node, Source]], found: Mapping[Node, Mixture]) -> Mixture:
    seed = [pair for pair in sources if not pair[1].is_sowing] or sources
    whole = sum((source.weight for _node, source in seed), Fraction(0))
    if not whole:
        return UNKNOWN
    mixture: dict[int | None, Fraction] = {}
    for node, source in seed:
        for generation, part in found[node].items():
            advanced = generation + source.is_sowing if generation is not None else None
            mixture[advanced] = mixture.get(advanced, Fraction(0)) + part * source.weight / whole
    return mixture


def mixed_heterozygosity(mixture: Mixture) -> Fraction | None:
    """Work out the part of the F1's heterozygosity expected to be left in a mixture; None where a part is not known."""
    if None in mixture:
        return None
    return sum((part * heterozygosity(generation or 1) for generation, part in mixture.items()), Fraction(0))


def mixture_words(mixture: Mixture) -> str:
    """Write a mixture: "F8", or "F8 217/517, F9 300/517"; "" where nothing is known."""
    if len(mixture) == 1:
        only = next(iter(mixture))
        return "" if only is None else generation_label(only)
    known = sorted((generation, part) for generation, part in mixture.items() if generation is not None)
    words = [f"{generation_label(generation)} {part.numerator}/{part.denominator}" for generation, part in known]
    unknown = mixture.get(None)
    return ", ".join([*words, *([f"not known {unknown.numerator}/{unknown.denominator}"] if unknown else [])])
