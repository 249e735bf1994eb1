"""What a lot will do for: a no stands and names its reason."""

from decimal import Decimal
from typing import Any

import pytest

from hilum.plugins import Use
from inventory.rules.fitness import together, uses_by_the_books


def books(**more: Any) -> list[Use]:
    return uses_by_the_books(**{"left": 1, "holds": (), "is_treated": False, "moisture": None, **more})


def said(uses: list[Use]) -> dict[str, str]:
    return {use.use: f"{use.answer}: {use.why}" if use.why else use.answer for use in together(uses)}


def test_a_lot_that_nobody_looked_at_may_leave_and_has_no_result_else() -> None:
    assert said(books()) == {"sowing": "no result", "ship": "yes", "can": "no result"}


@pytest.mark.parametrize(
    ("more", "use", "answer"),
    [
        ({"holds": ["weevils"]}, "sowing", "no: on hold: weevils"),
        ({"holds": ["weevils", "wrong tag"]}, "ship", "no: on hold: weevils; on hold: wrong tag"),
        ({"is_treated": True}, "can", "no: it is treated"),
        ({"is_treated": True}, "ship", "yes"),
        ({"moisture": Decimal("16.2")}, "ship", "no: 16.2 % moisture: dry or cool it first"),
        ({"moisture": Decimal("16.0")}, "ship", "yes"),
        ({"left": 0}, "sowing", "no: nothing is left"),
    ],
)
def test_the_books_alone_forbid_some_uses(more: dict[str, Any], use: str, answer: str) -> None:
    assert said(books(**more))[use] == answer


def test_a_no_beats_no_result_and_that_beats_yes() -> None:
    yes, unknown, no = Use("sowing", "yes"), Use("sowing", "no result", "no test"), Use("sowing", "no", "79 %")
    assert said([yes])["sowing"] == "yes"
    assert said([yes, unknown])["sowing"] == "no result: no test"
    assert said([yes, unknown, no])["sowing"] == "no: 79 %"


def test_the_same_reason_is_given_once() -> None:
    assert said([Use("can", "no", "it is treated")] * 2)["can"] == "no: it is treated"
