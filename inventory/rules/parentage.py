"""Coefficients of parentage: the chance that two lines carry the same allele by descent.

Rules for inbred lines as in Malécot and Kempthorne, used for crop lines by St Martin (1982) and Cox et al. (1985)
(from memory): f = 1 of a fixed line with itself, f = 0 between founders, and f(X, line from A/B) = f(X,A)/2 + f(X,B)/2
where X does not descend from that line. Lines from one cross are taken as independent of each other; a line that was
only picked again within a variety is a convention, which the caller settles by naming it as that variety or not.
Strains may need another calculation than single plants (Hernandez-Suarez & Montesinos-Lopez, arXiv 2208.11233, 2022).
"""

from collections.abc import Iterable, Mapping
from fractions import Fraction
from graphlib import CycleError, TopologicalSorter

from inventory.rules.heterozygosity import selfings
from inventory.rules.pedigree import Cross, Pedigree, contributions

Table = dict[tuple[str, str], Fraction]


def sister_lines(generation: int) -> Fraction:
    """Give f of two fixed lines that were both drawn from one plant of a generation of one cross.

    Args:
        generation: of the plant, 1 for the F1: lines from different F2 plants have that in common alone.

    Returns:
        1 - (1/2)^generation [1]: the parents unrelated and fixed.

    Raises:
        ValueError: below F1.

    Source: Cox et al. (1985) (from memory): 0.5 from different F2 plants, 0.75 from one F2, 0.875 from one F3.
    """
    return 1 - Fraction(1, 2 ** (selfings(generation) + 1))


class PedigreeLoops(ValueError):  # noqa: N818 - it says what the pedigree does
    """A line would be its own ancestor."""


def coefficient_of_parentage(one: str, other: str, pedigrees: Mapping[str, Pedigree | None]) -> Fraction:
    """Work out f of two lines.

    Args:
        one, other: names of lines or founders.
        pedigrees: line -> its pedigree over names; a name without one, or with None, is a founder.

    Returns:
        f, exact, 0 to 1 [1].

    Raises:
        PedigreeLoops: a line is its own ancestor.
    """
    return parentage_table((one, other), pedigrees)[one, other]


def parentage_table(names: Iterable[str], pedigrees: Mapping[str, Pedigree | None], *, fixed: bool = True) -> Table:
    """Work out f of all pairs among some lines and their ancestors, each pair once, oldest first (tabular method).

    Args:
        names: the lines asked about.
        pedigrees: as in `coefficient_of_parentage`.
        fixed: True for inbred lines, f(X,X) = 1; False for single plants that were not selfed, f(X,X) = (1 + F)/2
            with F = f of X's two parents.

    Returns:
        (name, name) -> f, both ways round.
    """
    table: Table = {}
    done: list[str] = []
    for name in _oldest_first(names, pedigrees):
        pedigree = pedigrees.get(name)
        parents = {} if pedigree is None else contributions(pedigree)
        for older in done:
            table[name, older] = table[older, name] = sum(
                (part * table[parent, older] for parent, part in parents.items()), Fraction(0)
            )
        table[name, name] = Fraction(1) if fixed else (1 + _inbreeding(pedigree, table)) / 2
        done.append(name)
    return table


def _oldest_first(names: Iterable[str], pedigrees: Mapping[str, Pedigree | None]) -> list[str]:
    sorter: TopologicalSorter[str] = TopologicalSorter()
    seen: set[str] = set()
    waiting = list(names)
    while waiting:
        name = waiting.pop()
        if name in seen:
            continue
        seen.add(name)
        pedigree = pedigrees.get(name)
        parents = [] if pedigree is None else list(contributions(pedigree))
        sorter.add(name, *parents)
        waiting.extend(parents)
    try:
        return list(sorter.static_order())
    except CycleError as loop:
        raise PedigreeLoops(f"A line cannot be its own ancestor: {' <- '.join(loop.args[1])}.") from loop


def _inbreeding(pedigree: Pedigree | None, table: Table) -> Fraction:
    if not isinstance(pedigree, Cross):
        return Fraction(0)
    female, male = contributions(pedigree.female), contributions(pedigree.male)
    return sum((a * b * table[x, y] for x, a in female.items() for y, b in male.items()), Fraction(0))
