"""An act that a plugin brings is booked by the same door; a verb of our own is not taken over."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import pytest

from hilum.plugins import ActOffer, hookimpl
from hilum.plugins.host import Host
from inventory.actions.acting import Booked
from inventory.importing import acts
from inventory.rules.mistakes import Refused
from tests.make import House, house

pytestmark = pytest.mark.django_db


@dataclass(frozen=True, kw_only=True)
class Glance:
    """A look at a lot."""

    lot: str
    times: int = 1


class Looking:
    """Offers a look, under a verb of its own and under one that stands already."""

    def __init__(self) -> None:
        self.seen: list[Any] = []

    @hookimpl
    def acts(self) -> Sequence[ActOffer]:
        return [ActOffer("Look-over", Glance, self.do), ActOffer("move", Glance, self.do)]

    def do(self, words: Glance, **asked: Any) -> Booked:
        self.seen.append((words, sorted(asked)))
        return Booked(())


@pytest.fixture
def looking(monkeypatch: pytest.MonkeyPatch) -> Looking:
    plugin = Looking()
    host = Host([("looking", lambda: plugin)], raising=True)
    monkeypatch.setattr(acts, "the_host", lambda: host)
    return plugin


@pytest.fixture
def do(looking: Looking) -> Callable[..., Booked]:
    plant: House = house()
    return lambda verb, words: acts.book(verb, words, station=plant.station, by=plant.line)


@pytest.mark.parametrize("verb", ["look over", "look-over", "LOOK_OVER"])
def test_it_is_booked_with_its_words_in_their_shapes(looking, do, verb):
    do(verb, {"lot": "24-0001-5", "times": "3"})
    assert looking.seen == [(Glance(lot="24-0001-5", times=3), ["by", "reason", "station"])]


def test_a_mistyped_field_of_it_is_named_with_the_nearest(looking, do):
    with pytest.raises(Refused, match=r"'tims' is no field of it\. Did you mean times"):
        do("look over", {"lot": "24-0001-5", "tims": "3"})
    assert looking.seen == []


def test_our_own_act_stands_before_its_namesake(looking):
    assert acts.act_of("move") is acts.ACTS["move"]
    assert list(acts.all_acts()) == [*acts.ACTS, "look over"]
