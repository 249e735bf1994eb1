"""The crossing log: buds tried, pods set, seeds taken."""

from inventory.rules.mistakes import Mistake, Question

MOST_SEEDS_A_POD = 10  # common practice, no source: a bean pod holds four to eight


class NothingTried(Mistake):
    """No bud was pollinated."""

    code = "nothing_tried"

    def __init__(self) -> None:
        super().__init__("Buds tried is 0: nothing was pollinated. Count the buds, or leave the row out.", field="buds")


class MorePodsThanBuds(Mistake):
    """More pods than pollinated buds."""

    code = "more_pods_than_buds"

    def __init__(self, pods: int, buds: int) -> None:
        super().__init__(f"{pods} pods from {buds} buds cannot be: count both again.", field="pods")


class SeedsWithoutPods(Mistake):
    """Seed was taken and no pod had set."""

    code = "seeds_without_pods"

    def __init__(self, seeds: int) -> None:
        super().__init__(f"{seeds} seeds were taken, but no pod had set. Count the pods.", field="pods")


class ManySeeds(Question):
    """More seeds a pod than beans have."""

    code = "many_seeds"

    def __init__(self, seeds: int, pods: int) -> None:
        super().__init__(f"{seeds} seeds from {pods} pods is more than beans hold. Is a digit too many?", field="seeds")


class BelowNothing(Mistake):
    """A count below zero."""

    code = "count_below_nothing"

    def __init__(self, what: str, count: int) -> None:
        super().__init__(f"{what.capitalize()} is {count}: a count is 0 or more. Count again.", field=what)


def pollination_mistakes(buds: int, pods: int, seeds: int) -> list[Mistake]:
    """Hold the counts of one pollination against each other."""
    counts = (("buds", buds), ("pods", pods), ("seeds", seeds))
    if below := [BelowNothing(what, count) for what, count in counts if count < 0]:
        return list(below)
    if buds == 0:
        return [NothingTried()]
    if pods > buds:
        return [MorePodsThanBuds(pods, buds)]
    if seeds and not pods:
        return [SeedsWithoutPods(seeds)]
    return [ManySeeds(seeds, pods)] if seeds > MOST_SEEDS_A_POD * pods else []
