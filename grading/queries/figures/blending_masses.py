"""The masses of a blend plan: what is asked of each lot and in all, against what there is."""

from collections.abc import Sequence

from grading.queries.blend_lots import BlendLot
from grading.rules.mistakes import OutOfRange
from grading.rules.mixing import MG_PER_G, MixLot
from inventory.rules.gathering import Gathering
from inventory.rules.mass import kg_words
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import listed


def mix_lot(
    words: Gathering, lot: BlendLot, ends: tuple[int | None, int | None], step: int, place: int, *, keep: bool
) -> MixLot:
    """Say what may go in of a lot; gathers what cannot be together.

    Args:
        ends: the least and the most that were asked [mg].
        step: a gram or a bag [mg].
        place: of the lot in the list, from 1.
        keep: promised seed stays.
    """
    least, most = ends
    free = max(lot.mg - lot.promised_mg, 0) if keep else lot.mg
    kept = ", the rest is promised" if keep and lot.promised_mg else ""
    there = f"only {kg_words(free)} kg of {lot.number} are there{kept}"
    asked = (("least_kg", least), ("most_kg", most))
    over = [
        OutOfRange(f"{kg_words(mg)} kg are asked, but {there}. Ask for less.", field=f"lots.{place}.{name}")
        for name, mg in asked
        if mg is not None and mg > free
    ]
    if not over and least is not None and most is not None and least > most:
        says = f"At least {kg_words(least)} kg of {lot.number} is more than at most {kg_words(most)}. Swap them?"
        over = [OutOfRange(says, field=f"lots.{place}.least_kg")]
    highest = free if most is None else min(most, free)
    if not over and -(-(least or 0) // step) * step > highest // step * step:
        says = (
            f"At least {kg_words(least or 0)} kg of {lot.number} in whole bags of {kg_words(step)} is more than there"
        )
        over = [OutOfRange(f"{says} may be, {kg_words(highest)} kg. Ask for less.", field=f"lots.{place}.least_kg")]
    words.add(*over)
    return MixLot(lot.number, highest, least or 0)


def total_mistakes(lots: Sequence[MixLot], total: int | None, step: int) -> list[Mistake]:
    """Hold the wanted mass against what there is, what must go in, and whole bags [mg]."""
    if total is None:
        return []
    wrong: list[Mistake] = []
    most, least = sum(lot.most // step * step for lot in lots), sum(-(-lot.least // step) * step for lot in lots)
    bags = f" in whole bags of {kg_words(step)}" if step > MG_PER_G else ""
    if total > most:
        says = f"{kg_words(total)} kg are wanted, but there are {kg_words(most)}{bags}. Ask for less, or add a lot."
        wrong.append(OutOfRange(says, field="total_kg"))
    if total < least:
        says = f"{kg_words(total)} kg are wanted, but at least {kg_words(least)} must go in{bags}. Ask for more."
        wrong.append(OutOfRange(says, field="total_kg"))
    if total % step:
        near = listed([kg_words(one) for one in (total // step * step, (total // step + 1) * step) if one])
        says = f"{kg_words(total)} kg are no whole bags of {kg_words(step)} kg. Give {near}."
        wrong.append(OutOfRange(says, field="total_kg"))
    return wrong
