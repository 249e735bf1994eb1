"""Bad input as data: what each door must refuse or ask, and with which words.

`tests/test_refusals.py` sends every case through the actions themselves and through the command; a door that is added
later takes the same table. The floor they stand on is `tests/inventory/actions/floor.py`: 24-0001-5 (N-1, loose,
900 kg), 24-0002-8 (B-1, loose, 300 kg), 24-0003-1 (N-1, in bags 1-5), and 24-0005-3, which run R1 made of 24-0004.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True)
class Case:
    """One thing that goes wrong.

    Args:
        name: what it is, as people would say it.
        verb: the act.
        words: its fields, as one JSON object would hold them.
        says: a part of the sentence.
        code: the mistake's stable code.
        by: role of who tries.
        is_question: it may be right and is asked (exit status 1), else it is refused (2).
        asked: key and reason that go along.
        before: an act, with its words, done first with the same `asked`.
    """

    name: str
    verb: str
    words: Mapping[str, Any]
    says: str
    code: str
    by: str = "records"
    is_question: bool = False
    asked: Mapping[str, str] = field(default_factory=dict)
    before: tuple[str, Mapping[str, Any]] | None = None

    def __str__(self) -> str:
        return self.name


DAY = "2025-05-05"
DELIVERY = {"plots": "ST24-N-2-1", "net": "800", "place": "F-1", "at": "2024-09-24"}
RUN = {
    "number": "R9", "machines": "air-screen", "feed_lot": "24-0001-5", "feed": "900", "at": DAY,
    "outs": [{"mass": "850"}], "taken_off": {"throughs": "50"},
}  # fmt: skip
BLEND = {
    "parts": [{"lot": "24-0001-5", "loose": "100"}, {"lot": "24-0002-8", "loose": "100"}], "place": "A-01", "at": DAY,
}  # fmt: skip
TREATING = {"lot": "24-0001-5", "product": "Seed coat A", "dose": "3 mL per kg", "caution": "Wear gloves.", "at": DAY}
SHIPPING = {
    "code": "S1", "recipient": "Tollhaven", "items": [{"lot": "24-0001-5", "mass": "10"}], "at": DAY,
}  # fmt: skip


def weather(*, again: bool = False, unit: str = "C", **words: Any) -> dict[str, Any]:
    """A log of one day, or of the same day twice, that would go through but for these words."""
    day = {"day": "2024-06-01", "low": "11", "high": "24", **words}
    return {"site": "ST", "unit": unit, "days": [day] * (1 + again)}


def stage(**words: Any) -> dict[str, Any]:
    """A plot's stage that would go through but for these words."""
    return {"plot": "ST24-N-1-1", "stage": "maturity", "day": "2024-09-01", **words}


def noted(**words: Any) -> dict[str, Any]:
    """A field note that would go through but for these words."""
    return {"plot": "ST24-N-1-1", "variable": "white mold", "value": "3", **words}


def delivery(**words: Any) -> dict[str, Any]:
    """A delivery that would go through but for these words."""
    return {**DELIVERY, **words}


def move(**words: Any) -> dict[str, Any]:
    """A move that would go through but for these words."""
    return {"lot": "24-0001-5", "mass": "10", "to": "A-01", "at": DAY, **words}


def run(**words: Any) -> dict[str, Any]:
    """A run that would go through but for these words."""
    return {**RUN, **words}


def feedback(**words: Any) -> dict[str, Any]:
    """Word back that would be kept but for these words."""
    return {"who": "A packer", "said": "dull in the can", "lot": "24-0001-5", "at": DAY, **words}


REFUSALS = (
    # names
    Case("a wrong check digit", "move", move(lot="24-0001-6"), "24-0001-6 does not check", "check_digit_wrong"),
    Case(
        "two digits swapped",
        "move",
        move(lot="24-0010-5"),
        "Did you mean 24-0001-5 (N-1, 900.0 kg)",
        "check_digit_wrong",
    ),
    Case("an unknown lot", "move", move(lot="24-0099"), "No lot 24-0099-1 is in the books", "unknown_lot"),
    Case(
        "a word for a lot", "move", move(lot="the blue bin"), "'the blue bin' is not a lot number", "not_a_lot_number"
    ),
    Case(
        "an unknown plot", "receive", delivery(plots="ST24-N-2-9"), "'ST24-N-2-9' is not a plot we know", "code_unknown"
    ),
    Case("an unknown place", "move", move(to="Z-99"), "'Z-99' is not a ", "code_unknown"),
    Case(
        "an unknown line", "receive", delivery(plots="", line="Q-77", cross=""), "'Q-77' is not a line", "code_unknown"
    ),
    Case("no lot at all", "move", move(lot=""), "Lot is missing", "missing"),
    # masses
    Case(
        "gross less than tare",
        "receive",
        delivery(net=None, gross="28", tare="42"),
        "Gross 28.0 kg is less than the container, 42.0 kg",
        "gross_below_tare",
    ),
    Case(
        "more out than in",
        "clean",
        run(outs=[{"mass": "853.4"}]),
        "Spouts add up to 3.4 kg more than was fed",
        "too_much_out",
    ),
    Case("more than is left", "move", move(mass="950"), "900.0 kg left of 24-0001-5", "not_enough"),
    Case("more fed than is left", "clean", run(feed="950", outs=[{"mass": "900"}]), "900.0", "not_enough"),
    Case(
        "more bagged than is there",
        "bag",
        {"lot": "24-0001-5", "count": 37, "at": DAY},
        "37 × 25.0 = 925.0 kg, but only 900.0 kg",
        "bags_do_not_fit",
    ),
    Case(
        "a bag that is not there",
        "move",
        {"lot": "24-0003-1", "bags": "9", "to": "A-01", "at": DAY},
        "Bag 24-0003-1/9 is not in store",
        "no_such_bag",
    ),
    Case("a negative mass", "move", move(mass="-5"), "-5.0 kg is less than nothing", "mass_negative"),
    Case("no number", "move", move(mass="NaN"), "'NaN' cannot be read as a number", "not_a_number"),
    Case("no end of it", "move", move(mass="inf"), "'inf' cannot be read as a number", "not_a_number"),
    Case("a word for a mass", "move", move(mass="some"), "'some' cannot be read as a number", "not_a_number"),
    Case("an absurd mass", "receive", delivery(net="9000000"), "is more than 100 t", "mass_too_large"),
    Case("a number of forty digits", "receive", delivery(net="9" * 41), "cannot be read as a number", "not_a_number"),
    Case("nothing", "move", move(mass="0"), "Mass is 0: nothing would move", "nothing_moved"),
    Case(
        "a number with two readings",
        "receive",
        delivery(net="1,234"),
        "can be 1.234 or 1,234. Which is it?",
        "two_readings",
        is_question=True,
    ),
    Case("a number without a unit", "receive", delivery(unit="", net="800"), "800.0 has no unit", "unit_missing"),
    Case("a unit that is none", "receive", delivery(net="800 stone"), "'stone'", "unit_unknown"),
    # days
    Case("a day to come", "receive", delivery(at="2099-01-01"), "2099", "future_date"),
    Case("a day that never was", "receive", delivery(at="2025-02-30"), "'2025-02-30'", "date_impossible"),
    Case(
        "a day with two readings", "receive", delivery(at="03/04/2025"), "can be", "date_two_readings", is_question=True
    ),
    # acts
    Case(
        "the same feed typed twice",
        "clean",
        run(number="R2", feed="400", outs=[{"mass": "380"}], taken_off={"throughs": "20"}),
        "went over the same machines that day as R9. Same run?",
        "fed_before",
        is_question=True,
        before=("clean", run(feed="400", outs=[{"mass": "380"}], taken_off={"throughs": "20"})),
    ),
    Case(
        "the same delivery typed twice",
        "receive",
        DELIVERY,
        "is already in as",
        "already_in",
        is_question=True,
        before=("receive", DELIVERY),
    ),
    Case(
        "a run that loses too much",
        "clean",
        run(taken_off={"throughs": "30"}),
        "20.0 kg of 900.0 are missing (2.22 %, allowed 1.0)",
        "loss_over_allowed",
        is_question=True,
    ),
    Case("two lines without a reason", "blend", BLEND, "Write why", "two_lines", is_question=True),
    Case(
        "a lot made of itself",
        "clean",
        run(outs=[{"mass": "850", "lot": "24-0001-5"}]),
        "24-0001-5 is already in the books",
        "lot_taken",
    ),
    Case(
        "reversing what was used",
        "reverse",
        {"act": "24-0004"},
        "used by clean R1",
        "used_since",
        asked={"reason": "wrong tare"},
    ),
    Case("reversing without a reason", "reverse", {"act": "R1"}, "Write why", "reason_missing"),
    Case("reversing what is not there", "reverse", {"act": "R77"}, "No act 'R77' is in the books", "unknown_act"),
    Case("treating twice is told", "treat", {**TREATING, "product": ""}, "Product", "missing"),
    Case(
        "the same key with other content",
        "move",
        move(mass="20"),
        "The key 'k1' was used before with other content",
        "key_reused",
        asked={"key": "k1"},
        before=("move", move()),
    ),
    # what leaves, and what is put right
    Case(
        "seed on hold that would leave",
        "ship",
        SHIPPING,
        "24-0001-5 is on hold: odour. breeder-st or records-st can lift it.",
        "on_hold",
        asked={"reason": "odour"},
        before=("hold", {"lots": ["24-0001-5"]}),
    ),
    Case(
        "more than is left, shipped",
        "ship",
        {**SHIPPING, "items": [{"lot": "24-0001-5", "mass": "901"}]},
        "900.0 kg left of 24-0001-5 at F-1; this asks 901.0.",
        "not_enough",
    ),
    Case(
        "a purpose that no shipment has",
        "ship",
        {**SHIPPING, "purpose": "gift"},
        "'gift' is no purpose of a shipment.",
        "unknown_use",
    ),
    Case(
        "a code that left already",
        "ship",
        SHIPPING,
        "S1 left already on 2025-05-05, to Tollhaven.",
        "code_shipped",
        is_question=True,
        before=("ship", SHIPPING),
    ),
    Case(
        "seed sown on the plot it came from",
        "sow",
        {"lot": "24-0001-5", "plots": ["ST24-N-1-1"], "mass": "1", "at": DAY},
        "24-0001-5 was harvested from plot ST24-N-1-1, or from what came of it",
        "sown_with_itself",
    ),
    Case(
        "another line than the plot's",
        "sow",
        {"lot": "24-0001-5", "plots": ["ST24-N-2-1"], "mass": "1", "at": DAY},
        "24-0001-5 is N-1, but plot ST24-N-2-1 is for N-2.",
        "sown_line_differs",
        is_question=True,
    ),
    Case(
        "a return of what never left",
        "return",
        {"shipment": "S9", "lot": "24-0001-5", "mass": "1", "place": "A-01"},
        "No shipment 'S9' is in the books.",
        "unknown_shipment",
        asked={"reason": "wet"},
    ),
    Case(
        "a hold that is not there",
        "lift",
        {"lot": "24-0001-5"},
        "24-0001-5 is not on hold.",
        "not_on_hold",
        asked={"reason": "aired"},
    ),
    Case(
        "an adjustment without a why",
        "adjust",
        {"lot": "24-0001-5", "mass": "+13.5"},
        "Write why: an adjustment is kept with its reason.",
        "reason_missing",
    ),
    Case(
        "a reassignment that changes nothing",
        "reassign",
        {"lot": "24-0001-5", "line": "N-1"},
        "Nothing would change.",
        "nothing_changes",
        asked={"reason": "tag"},
    ),
    Case("a test without a purpose", "test", {"lot": "24-0001-5", "mass": "0.3"}, "Purpose is missing.", "missing"),
    Case(
        "a fraction for a moisture",
        "moisture",
        {"lot": "24-0001-5", "moisture": "0.162"},
        "0.162 % is too dry for beans. Did you mean 16.2 %?",
        "moisture_as_fraction",
        is_question=True,
    ),
    Case(
        "treated seed for food",
        "ship",
        {**SHIPPING, "purpose": "food"},
        "24-0001-5 is treated seed, or was made from it: it never leaves for food",
        "treated_seed",
        before=("treat", TREATING),
    ),
    Case(
        "seed on hold that would be sown",
        "sow",
        {"lot": "24-0001-5", "plots": "ST24-N-1-2", "mass": "5", "at": DAY},
        "24-0001-5 is on hold",
        "on_hold",
        asked={"reason": "germination 79 %"},
        before=("hold", {"lots": "24-0001-5", "at": DAY}),
    ),
    Case("a hold without a reason", "hold", {"lots": "24-0001-5", "at": DAY}, "Write why", "reason_missing"),
    # numbers of trade
    Case("no number at all", "gs1 numbers", {"at": DAY}, "Give a company prefix", "gs1_nothing"),
    Case(
        "a prefix too short", "gs1 numbers", {"prefix": "95060", "at": DAY}, "It has 6 to 12 digits", "not_gs1_number"
    ),
    Case(
        "a GTIN with a wrong check digit",
        "gs1 numbers",
        {"prefix": "9506000", "gtin": "9506000134353", "at": DAY},
        "950600013435 is followed by 2",
        "gs1_check_differs",
    ),
    Case(
        "a GTIN of another company",
        "gs1 numbers",
        {"prefix": "9506001", "gtin": "9506000134352", "at": DAY},
        "does not begin with the company prefix 9506001",
        "gs1_other_prefix",
    ),
    # word back
    Case(
        "a word about nothing",
        "feedback",
        {"who": "A packer", "said": "dull", "at": DAY},
        "Name what this was said about: a shipment, a lot or a line",
        "about_nothing",
    ),
    Case("a word that says nothing", "feedback", feedback(said=" \u200b "), "Said is missing", "missing"),
    Case("a word of nobody", "feedback", feedback(who=""), "Who is missing", "missing"),
    Case("a name longer than a label", "feedback", feedback(who="w" * 161), "Who 'www", "name_too_long"),
    Case("a word without end", "feedback", feedback(said="w" * 4001), "Said has 4001 signs; 4000 fit", "too_long"),
    Case(
        "a word about a lot that there is not", "feedback", feedback(lot="24-0099"), "No lot 24-0099-1", "unknown_lot"
    ),
    Case(
        "a word about a line that there is not",
        "feedback",
        feedback(line="Q-77"),
        "'Q-77' is not a line",
        "code_unknown",
    ),
    Case(
        "a word about a shipment that never left",
        "feedback",
        feedback(shipment="S9"),
        "No shipment 'S9' is in the books. Check its paper, or name the lot or the line.",
        "unknown_shipment",
    ),
    Case("a word of the future", "feedback", feedback(at="2099-06-02"), "2099-06-02", "future_date"),
    Case(
        "a word about a lot that was not in the shipment",
        "feedback",
        feedback(shipment="S1", lot="24-0002-8"),
        "Nothing of 24-0002-8 left with S1.",
        "other_seed",
        is_question=True,
        before=("ship", SHIPPING),
    ),
    Case(
        "a word from before the shipment left",
        "feedback",
        feedback(shipment="S1", at="2025-05-04"),
        "S1 left on 2025-05-05, but this was said on 2025-05-04.",
        "said_before_it_left",
        is_question=True,
        before=("ship", SHIPPING),
    ),
    Case(
        "a word written down by the bench",
        "feedback",
        feedback(),
        "bench may not enter what customers said; breeder, intake or records may",
        "may_not",
        by="bench",
    ),
    # rights
    Case(
        "an account without a role",
        "receive",
        DELIVERY,
        "This account may not receive a lot; intake or records may",
        "may_not",
        by="stranger",
    ),
    Case(
        "an account of another role",
        "clean",
        RUN,
        "bench may not clean a lot; line or records may",
        "may_not",
        by="bench",
    ),
    Case(
        "an account that may not write off",
        "write off",
        {"lot": "24-0001-5", "mass": "1", "at": DAY},
        "may not write seed off",
        "may_not",
        by="line",
        asked={"reason": "mice"},
    ),
    # the field
    Case(
        "a low over its high", "log weather", weather(low="25"), "The lowest is 25 and the highest 24", "low_over_high"
    ),
    Case("a day stated twice", "log weather", weather(again=True), "stands twice here", "day_twice"),
    Case("a heat of no field", "log weather", weather(high="240"), "240 °C", "temperature_unlikely"),
    Case("a day to come logged", "log weather", weather(day="2027-01-05"), "2027-01-05", "future_date"),
    Case("no low", "log weather", weather(low=""), "Low is missing", "missing"),
    Case("no days", "log weather", {"site": "ST", "days": []}, "Days is missing", "missing"),
    Case("a scale that there is not", "log weather", weather(unit="K"), "Give C or F", "unknown_word"),
    Case("a stage that there is not", "note stage", stage(stage="ripe"), "Give flowering or maturity", "unknown_word"),
    Case("a stage to come", "note stage", stage(day="2027-01-05"), "2027-01-05", "future_date"),
    Case("a score off its scale", "note", noted(value="12"), "White mold is 12", "off_scale", is_question=True),
    Case("a score in words", "note", noted(value="bad"), "White mold reads 'bad'", "not_on_scale"),
    Case("a variable that there is not", "note", noted(variable="wite mold"), "white mold", "code_unknown"),
    Case("a yield without its moisture", "note", noted(variable="yield", value="2350"), "Moisture is", "missing"),
    Case("a note of two things", "note", noted(lot="24-0001-5"), "of one plot or of one lot", "about_one_thing"),
    Case(
        "a disease of a lot", "note", noted(plot="", lot="24-0001-5"), "noted of a plot, not of a lot", "not_noted_of"
    ),
    Case("no right to note", "note", noted(), "line may not write field notes", "may_not", by="line"),
    Case(
        "nothing to put right",
        "amend note",
        noted(),
        "Nothing was noted of ST24-N-1-1 as white mold",
        "nothing_to_amend",
        asked={"reason": "wrong row"},
    ),
    Case("a label of nothing", "label", {}, "Lots is missing", "missing"),
    Case("a label of an unknown lot", "label", {"lots": ["24-0099"]}, "No lot 24-0099-1", "unknown_lot"),
    Case("a label of an unknown place", "label", {"places": ["Z-99"]}, "'Z-99' is not a place", "code_unknown"),
    Case(
        "a label of a bag that is not there",
        "label",
        {"lots": ["24-0003-1"], "bags": "9"},
        "Bag 24-0003-1/9 is not in store",
        "no_such_bag",
    ),
    Case(
        "bags of a lot that is in none",
        "label",
        {"lots": ["24-0001-5"], "bags": "all"},
        "24-0001-5 has no bags in store. Bag it off first",
        "not_bagged",
    ),
    Case("bags of two lots", "label", {"lots": ["24-0001-5", "24-0003-1"], "bags": "1"}, "one lot", "bags_of_one_lot"),
    Case("no right to print", "label", {"lots": ["24-0001-5"]}, "may not print labels", "may_not", by="stranger"),
    Case("no right to note a stage", "note stage", stage(), "line may not enter measurements", "may_not", by="line"),
    # shape
    Case(
        "a field that there is not",
        "receive",
        delivery(grosss="842"),
        "'grosss' is no field of it. Did you mean gross",
        "unknown_word",
    ),
    Case("a verb that there is not", "recieve", DELIVERY, "'recieve' is no act. Did you mean receive", "unknown_word"),
)

# Read with certainty and said for the record.
NOTED = (
    Case("O for 0", "move", move(lot="24-OOO1-5"), "Read O as 0: 24-0001-5.", "read_letter_as_digit"),
    Case("a decimal comma", "move", move(mass="10,5"), "Read '10,5' as 10.5", "read_as"),
    Case("another unit", "receive", delivery(net="1680 lb"), "Read 1,680.0 as pounds", "unit_switched"),
    Case("a line written otherwise", "receive", delivery(line="n2"), "Read 'n2' as N-2.", "read_as"),
)
