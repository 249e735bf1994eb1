"""One bag: where it is now, all that happened to it, and what went out with it."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from inventory.models import Entry, Identity, Lot, Operation
from inventory.queries.uses import name_act
from inventory.rules.bag_numbers import in_ranges


@dataclass(frozen=True)
class BagAct:
    """One act on a bag.

    Attributes:
        mg: what came into the bag, negative for what left it [mg].
        place: where the bag stood after it, "" where nothing of it was left in store by this act.
        is_back: it was taken back later.
    """

    act: Operation
    name: str
    mg: int
    place: str
    is_back: bool


@dataclass(frozen=True)
class BagStory:
    """A bag of a lot.

    Attributes:
        mg: what is in it now [mg].
        place: where it stands, "" where it is gone.
        acts: the newest first.
        left_by: the act by which the last of it went, None while it is there.
        became: numbers of the lots that act made.
        went_with: (lot, its bags as people write them) of the same act, this bag left out.
    """

    lot: Lot
    number: int
    mg: int
    place: str
    acts: tuple[BagAct, ...]
    left_by: Operation | None = None
    became: tuple[str, ...] = ()
    went_with: tuple[tuple[str, str], ...] = ()

    @property
    def number_text(self) -> str:
        """Its number as it is written behind the lot's."""
        return str(self.number)


def bag_story(lot: Lot, number: int) -> BagStory:
    """Tell all that is known of a bag (4 queries at most)."""
    entries = Entry.objects.filter(lot=lot, bag_no=number).order_by("operation__at", "operation__seq", "position")
    rows = list(entries.select_related("place", "operation__run", "operation__shipment", "operation__by"))
    acts = list(_acts(rows))
    mg = sum(row.mg for row in rows)
    standing = [one for one in acts if not one.is_back and one.act.reverses_id is None]
    place = standing[-1].place if mg and standing else ""
    story = BagStory(lot, number, mg, place, tuple(reversed(acts)))
    if mg or not standing:
        return story
    left_by = standing[-1].act
    made = Identity.objects.filter(operation=left_by).order_by("pk").values_list("lot__number", flat=True)
    return BagStory(lot, number, mg, place, story.acts, left_by, tuple(made), tuple(_went_with(left_by, lot, number)))


def _acts(rows: Sequence[Entry]) -> Iterable[BagAct]:
    """One line for each act: a move takes from one place and puts to another."""
    of: dict[int, list[Entry]] = defaultdict(list)
    for row in rows:
        of[row.operation_id].append(row)
    back = set(Operation.objects.filter(reverses__in=list(of)).values_list("reverses", flat=True))
    for some in of.values():
        act = some[0].operation
        place = next((row.place.code for row in some if row.mg > 0 and row.place), "")
        yield BagAct(act, name_act(act), sum(row.mg for row in some), place, act.pk in back)


def _went_with(act: Operation, lot: Lot, number: int) -> Iterable[tuple[str, str]]:
    left = Entry.objects.filter(operation=act, lot__isnull=False, mg__lt=0).order_by("lot__number", "bag_no")
    bags: dict[str, list[int]] = defaultdict(list)
    for other, bag in left.values_list("lot__number", "bag_no"):
        if (other, bag) != (lot.number, number):
            bags[other].append(bag)
    return ((other, in_ranges([bag for bag in numbers if bag])) for other, numbers in bags.items())
