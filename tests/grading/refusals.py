"""Bad input at the bench as data: what each door must refuse or ask, and with which words.

Every case stands on 24-0016-5 (pinto, 600 kg, of 2024-09-24), of which sample G01 and test T01 are in the books. The
sentences are our own; what they hold to is said beside each rule.
"""

import json
from collections.abc import Mapping
from typing import Any

from tests.grading.ruling import edition
from tests.refusals import Case

DAY = "2024-10-10"
DISHES = {"splits": "2.4", "damaged": "3.1", "other_foreign_material": "0.1"}


def graded(**words: Any) -> dict[str, Any]:
    """A sample with its portion that would go through but for these words."""
    usual = {"lot": "24-0016-5", "mass": "2", "portion_g": "500.3", "weights_g": DISHES, "sound_g": "494.7", "at": DAY}
    return {**usual, **words}


def further(**words: Any) -> dict[str, Any]:
    """A further portion of G01 that would go through but for these words."""
    return {"sample": "G01", "portion_g": "500.3", "weights_g": DISHES, "sound_g": "494.7", "at": DAY, **words}


def dishes(**weights: str) -> Mapping[str, str]:
    """The dishes, some weighing otherwise."""
    return {**DISHES, **weights}


def of_test(**words: Any) -> dict[str, Any]:
    """A germination test that would go through but for these words."""
    return {"lot": "24-0016-5", "replicates": ["94", "95", "93", "96"], "mass": "0.3", "at": DAY, **words}


def of_health(**words: Any) -> dict[str, Any]:
    """A test for a pathogen that would go through but for these words."""
    usual = {"lot": "24-0016-5", "pathogen": "bacterial blight", "method": "plating", "tested": "400", "found": "1"}
    return {**usual, "mass": "0.2", "at": DAY, **words}


def of_variety(**words: Any) -> dict[str, Any]:
    """A count of off-types that would go through but for these words."""
    return {
        "lot": "24-0016-5",
        "looked_at": "200",
        "off_types": "1",
        "counted": "seeds",
        "mass": "0.1",
        "at": DAY,
        **words,
    }


def of_purity(**words: Any) -> dict[str, Any]:
    """A purity analysis that would go through but for these words."""
    usual = {"lot": "24-0016-5", "working_g": "500.0", "pure_seed_g": "497.3", "inert_g": "1.6", "weed_g": "0.2"}
    return {**usual, "mass": "0.6", "at": DAY, **words}


def weighed(*readings: str, **words: Any) -> dict[str, Any]:
    """A seed weight that would go through but for these words."""
    return {"lot": "24-0016-5", "readings": list(readings or ("18.0", "18.1", "18.3", "18.4")), "at": DAY, **words}


def screened(*shares: str, **words: Any) -> dict[str, Any]:
    """A size curve that would go through but for these words."""
    names = ("12/64 slot", "11/64 slot", "pan")
    screens = [{"screen": name, "pct": pct} for name, pct in zip(names, shares or ("50", "48", "2"), strict=True)]
    return {"lot": "24-0016-5", "screens": screens, "at": DAY, **words}


def on(text: str, unit: str = "pct") -> list[dict[str, str]]:
    """Screens as a line of text: "12/64 50, pan 50"."""
    parts = [part.rpartition(" ") for part in text.split(", ")]
    return [{"screen": name, unit: amount} for name, _blank, amount in parts]


def coloured(**words: Any) -> dict[str, Any]:
    """A colour that would go through but for these words."""
    usual = {"lot": "24-0016-5", "lightness": "70.1", "a": "2.4", "b": "13.2", "illuminant": "D65", "observer": "10"}
    return {**usual, "at": DAY, **words}


def judged(**words: Any) -> dict[str, Any]:
    """A judgement of G01 that would go through but for these words."""
    return {"sample": "G01", "looks": {"ground_colour": "cream", "pattern": "clear"}, "at": DAY, **words}


def packed(**words: Any) -> dict[str, Any]:
    """A packing for sowing that would go through but for these words."""
    entry = {"lot": "24-0016-5", "plots": ["QM24-P-1-1"], "grams": "40", **words}
    return {"entries": [{name: word for name, word in entry.items() if word is not None}], "at": DAY}


def to_sow(name: str, words: Mapping[str, Any], says: str, code: str) -> Case:
    """Something the breeder is refused."""
    return Case(name, "pack for sowing", words, says, code, "breeder")


def of_pan(name: str, says: str, **words: Any) -> Case:
    """A pan that is asked about."""
    return Case(name, "grade", graded(**words), says, "pan_does_not_close", by="bench", is_question=True)


def at_bench(name: str, verb: str, words: Mapping[str, Any], says: str, code: str) -> Case:
    """Something the bench is refused."""
    return Case(name, verb, words, says, code, by="bench")


def drafted(**changes: Any) -> dict[str, Any]:
    """A draft of rules that would go through but for these words."""
    return {"document": json.dumps(edition(**changes))}


def in_force(**words: Any) -> dict[str, Any]:
    """The draft QM-DEMO, edition 2, which would be put in force but for these words and the reason."""
    return {"rule_set": "QM-DEMO", "edition": "2", "begins": "2025-01-01", **words}


def withdrawn(**words: Any) -> dict[str, Any]:
    """A withdrawal that would go through but for these words and the reason."""
    return {"rule_set": "QM-DEMO", "edition": "1", "ends": "2025-01-01", **words}


def ruled(name: str, verb: str, words: Mapping[str, Any], says: str, code: str) -> Case:
    """Rules that are refused."""
    return Case(name, verb, words, says, code, by="records")


NO_GRADE = [{**edition()["tables"][0], "grades": []}]
RULING = (
    ruled("rules that are no JSON", "draft rules", {"document": "{"}, "This is not JSON", "out_of_range"),
    ruled("no rules", "draft rules", {}, "Document is missing", "missing"),
    ruled("falling limits out of order", "draft rules", drafted(total="4.50"), "No. 2 allows 4.00 %", "rule_set_fault"),
    ruled("a table without a grade", "draft rules", drafted(tables=NO_GRADE), "demo lists no grade", "rule_set_fault"),
    ruled(
        "a grade that the order of names leaves out",
        "draft rules",
        drafted(name_order=["No. 1", "No. 3"]),
        "No. 2 is missing",
        "rule_set_fault",
    ),
    ruled(
        "a limit for no factor",
        "draft rules",
        drafted(instead=[{"factor": "stons", "over": "2.5", "name": "waste", "source": "ours"}]),
        "Did you mean stones?",
        "unknown_word",
    ),
    ruled(
        "an edition that is taken", "draft rules", drafted(name="1"), "edition 1, is in use already", "edition_taken"
    ),
    ruled("an id in other capitals", "draft rules", drafted(id="qm-demo"), "is spelled QM-DEMO", "spelled_otherwise"),
    Case("no right to draft", "draft rules", drafted(), "line may not draft rules; bench", "may_not", "line"),
    ruled("no such draft", "put rules in force", in_force(edition="7"), "There are QM-DEMO:2.", "no_such_draft"),
    ruled("no first day", "put rules in force", in_force(begins=None), "Begins is missing", "missing"),
    ruled("a first day that is none", "put rules in force", in_force(begins="soon"), "soon", "not_a_date"),
    ruled("no reason for rules", "put rules in force", in_force(), "Write why", "reason_missing"),
    ruled(
        "two editions in force at once",
        "put rules in force",
        in_force(begins="2023-06-01"),
        "is in force from 2024-01-01, so that on 2023-06-01 two would be in force at once",
        "two_in_force",
    ),
    at_bench("no right to put in force", "put rules in force", in_force(), "bench may not change rules", "may_not"),
    ruled(
        "rules nobody has", "withdraw rules", withdrawn(rule_set="QM-DEMOS"), "Did you mean QM-DEMO?", "unknown_word"
    ),
    ruled("an edition nobody has", "withdraw rules", withdrawn(edition="9"), "edition of QM-DEMO '9'", "unknown_word"),
    ruled("no last day", "withdraw rules", withdrawn(ends=""), "Ends is missing", "missing"),
    ruled(
        "ended before it begins",
        "withdraw rules",
        withdrawn(ends="2023-06-01"),
        "begins on 2024-01-01 and would end on 2023-06-01",
        "ends_before",
    ),
    at_bench("no right to withdraw", "withdraw rules", withdrawn(), "bench may not change rules", "may_not"),
)
REFUSALS = (
    of_pan("a pan that misses", "Dishes and sound make 490.3 g, portion was 500.3.", sound_g="484.7"),
    of_pan("a slipped decimal point", "Splits 24.0: did you mean 2.4?", weights_g=dishes(splits="24.0")),
    Case(
        "a further portion's pan",
        "grade",
        further(sound_g="484.7"),
        "490.3 g",
        "pan_does_not_close",
        by="bench",
        is_question=True,
    ),
    at_bench("no number in a dish", "grade", graded(weights_g=dishes(splits="NaN")), "splits is 'NaN'", "not_a_number"),
    at_bench("no portion's weight", "grade", graded(portion_g="NaN"), "portion_g is 'NaN'", "not_a_number"),
    at_bench("no end of a portion", "grade", graded(portion_g="inf"), "portion_g is 'inf'", "not_a_number"),
    at_bench("a negative dish", "grade", graded(weights_g=dishes(stones="-1")), "weights_g.stones is -1 g", "negative"),
    at_bench(
        "a dish heavier than its portion",
        "grade",
        graded(weights_g=dishes(splits="600")),
        "Splits weighs 600 g, more than the portion of 500.3 g",
        "heavier_than_portion",
    ),
    at_bench("an unknown dish", "grade", graded(weights_g=dishes(splitz="1")), "Did you mean splits?", "unknown_word"),
    at_bench("an unknown field", "grade", graded(portion_gg="1"), "Did you mean portion_g", "unknown_word"),
    at_bench("no portion", "grade", graded(portion_g=None), "Portion g is missing", "missing"),
    at_bench("an unknown lot", "grade", graded(lot="24-0099"), "No lot 24-0099-1 is in the books", "unknown_lot"),
    at_bench("neither lot nor sample", "grade", graded(lot=None), "Lot is missing", "missing"),
    at_bench("an unknown sample", "grade", further(sample="G77"), "'G77' is not a sample we know", "code_unknown"),
    at_bench(
        "a sample that stands and a new one",
        "grade",
        further(lot="24-0016-5", mass="2"),
        "lot and mass would take a new one",
        "drawn_twice",
    ),
    at_bench("a day to come", "grade", graded(at="2027-01-05"), "2027-01-05", "future_date"),
    at_bench("graded before drawn", "grade", further(at="2024-10-09"), "before it", "graded_before_drawn"),
    at_bench(
        "a number taken", "grade", graded(number="G01"), "G01 is already in the books: a sample of", "number_taken"
    ),
    at_bench("more than is left", "grade", graded(mass="2000"), "kg left of 24-0016-5", "not_enough"),
    Case(
        "no right to grade", "grade", graded(), "line may not grade a sample; bench or records may", "may_not", "line"
    ),
    Case("no right to grade further", "grade", further(), "intake may not grade a sample", "may_not", "intake"),
    Case(
        "no right to sample",
        "bench sample",
        {"lot": "24-0016-5", "mass": "2"},
        "breeder may not draw a sample",
        "may_not",
        "breeder",
    ),
    at_bench(
        "no count of points", "bench sample", {"lot": "24-0016-5", "points": "8.5"}, "8.5 is no count", "not_a_count"
    ),
    at_bench(
        "a test's number taken", "germination", of_test(number="T01"), "T01 is already in the books", "number_taken"
    ),
    at_bench(
        "three replicates", "germination", of_test(replicates=["94", "95", "93"]), "3 replicates", "replicates_wrong"
    ),
    at_bench(
        "no seedlings", "germination", of_test(replicates=["NaN"] * 4), "Replicate 1 reads 'NaN'", "replicates_wrong"
    ),
    at_bench("a test to come", "germination", of_test(at="2027-01-05"), "2027-01-05", "future_date"),
    at_bench("an unknown lot tested", "germination", of_test(lot="24-0099"), "No lot 24-0099-1", "unknown_lot"),
    Case("no right to test", "germination", of_test(), "line may not test seed", "may_not", "line"),
    Case(
        "readings that spread",
        "seed-weight",
        weighed("17.0", "18.1", "18.3", "18.6"),
        "spread over 8.9 %",
        "weigh_again",
        by="bench",
        is_question=True,
    ),
    at_bench("no reading", "seed weight", weighed("NaN", "18", "18", "18"), "'NaN' cannot be read", "not_a_number"),
    at_bench("three readings", "seed weight", weighed("18", "18", "18"), "There are 3 readings", "out_of_range"),
    Case(
        "a curve that does not close",
        "size-curve",
        screened("50", "40", "2"),
        "Screens and pan make 92 %",
        "curve_does_not_close",
        by="bench",
        is_question=True,
    ),
    at_bench(
        "a share under nought", "size curve", screened("-1", "99", "2"), "Screen 12/64 slot is -1", "out_of_range"
    ),
    at_bench("screens in a heap", "size curve", screened(screens="12"), "such as screens.1.screen=", "wrong_shape"),
    at_bench(
        "a screen without a name",
        "size curve",
        screened(screens=on("  50, pan 50")),
        "names no opening that can be read",
        "screen_unread",
    ),
    at_bench(
        "a screen twice",
        "size curve",
        screened(screens=on("12/64 50, 12/64 48, pan 2")),
        "12/64 stands twice",
        "stack_wrong",
    ),
    at_bench(
        "screens out of order",
        "size curve",
        screened(screens=on("11/64 50, 12/64 48, pan 2")),
        "12/64 stands under 11/64. Give the stack from the widest hole down",
        "stack_wrong",
    ),
    at_bench(
        "no pan",
        "size curve",
        screened(screens=on("12/64 50, 11/64 50")),
        "The pan is missing",
        "stack_wrong",
    ),
    at_bench(
        "round and slotted together",
        "size curve",
        screened(screens=on("12/64 R 50, 11/64 slot 48, pan 2")),
        "Round and slotted screens are in one stack",
        "stack_wrong",
    ),
    at_bench(
        "grams that were lost",
        "size curve",
        screened(
            screens=on("12/64 200, 11/64 90, pan 5", "g"),
            sieved_g="300",
        ),
        "Screens and pan hold 295.00 g, but 300 g were sieved: 1.67 % off, and 0.5 % is allowed",
        "sieving_loses",
    ),
    at_bench(
        "nothing on any screen",
        "size curve",
        screened(screens=on("12/64 0, 11/64 0, pan 0", "g")),
        "All screens and the pan hold 0",
        "nothing_sieved",
    ),
    at_bench(
        "grams and shares together",
        "size curve",
        screened(
            screens=[{"screen": "12/64", "g": "200"}, {"screen": "11/64", "pct": "90"}, {"screen": "pan", "g": "5"}]
        ),
        "Both grams and per cent are given",
        "amounts_do_not_fit",
    ),
    to_sow("neither grams nor seeds", packed(grams=None), "Give grams or seeds for each plot", "mistake"),
    to_sow("grams of letters", packed(grams="x"), "'x' cannot be read as a number", "not_a_number"),
    to_sow("no grams", packed(grams="0"), "is 0 g", "out_of_range"),
    to_sow("seeds of a lot that was never weighed", packed(grams=None, seeds="120"), "seed weight", "mistake"),
    to_sow("a plot that is not known", packed(plots=["QM31-X"]), "'QM31-X' is not a plot", "code_unknown"),
    to_sow("more than there is", packed(grams="90000000"), "up to 100000 g", "out_of_range"),
    Case("no right to pack", "pack for sowing", packed(), "bench may not", "may_not", "bench"),
    at_bench("a lightness over 100", "colour", coloured(lightness="170.1"), "from 0 up to 100", "out_of_range"),
    at_bench("a lightness under 0", "colour", coloured(lightness="-1"), "Lightness is -1", "out_of_range"),
    at_bench("a green off the scale", "colour", coloured(a="-128.1"), "from -128 up to 127", "out_of_range"),
    at_bench("a yellow off the scale", "colour", coloured(b="127.5"), "B is 127.5", "out_of_range"),
    at_bench("no number of a colour", "colour", coloured(b="NaN"), "'NaN' cannot be read", "not_a_number"),
    at_bench("no lightness", "colour", coloured(lightness=None), "Lightness is missing", "missing"),
    at_bench("an empty lightness", "colour", coloured(lightness=""), "Lightness is missing", "missing"),
    at_bench("no light", "colour", coloured(illuminant=None), "Illuminant is missing", "missing"),
    at_bench("no observer", "colour", coloured(observer=""), "Observer is missing", "missing"),
    at_bench("a light nobody knows", "colour", coloured(illuminant="F11"), "Illuminant reads 'F11'", "unknown_word"),
    at_bench("an observer nobody is", "colour", coloured(observer="4"), "Give 2 or 10", "unknown_word"),
    at_bench("a scale nobody knows", "colour", coloured(scale="Lab"), "Give CIELAB or Hunter Lab", "unknown_word"),
    at_bench("an endless instrument", "colour", coloured(instrument="x" * 81), "has 81 characters", "too_long"),
    at_bench(
        "readings of two lengths",
        "colour",
        coloured(a="2.4, 2.5"),
        "1 of lightness, 2 of a and 1 of b",
        "uneven_readings",
    ),
    Case(
        "decimal commas",
        "colour",
        coloured(lightness="70,1", a="2,4", b="13,2"),
        "Reading 1 lies 34.9",
        "readings_apart",
        by="bench",
        is_question=True,
    ),
    at_bench(
        "an unknown sample looked at", "judge card", judged(sample="G77"), "'G77' is not a sample", "code_unknown"
    ),
    at_bench("no sample looked at", "judge card", judged(sample=None), "Sample is missing", "missing"),
    at_bench("no word of it", "judge card", judged(looks={"pattern": ""}), "Nothing was said of the sample", "missing"),
    at_bench(
        "a thing that no card names",
        "judge card",
        judged(looks={"patern": "clear"}),
        "thing of card QM-DEMO-PINTO 'patern'. Did you mean pattern?",
        "unknown_word",
    ),
    at_bench(
        "a word that no card has",
        "judge card",
        judged(looks={"pattern": "cleer"}),
        "word for pattern 'cleer'. Did you mean clear?",
        "unknown_word",
    ),
    at_bench(
        "an unknown card", "judge card", judged(card="QM-DEMO-PINK"), "no class card 'QM-DEMO-PINK'", "unknown_word"
    ),
    at_bench("looked at before drawn", "judge card", judged(at="2024-10-09"), "before it", "judged_before_drawn"),
    at_bench("looked at in a day to come", "judge card", judged(at="2027-01-05"), "2027-01-05", "future_date"),
    at_bench("an endless grader", "judge card", judged(grader="x" * 151), "Grader has 151 signs", "too_long"),
    Case("no right to judge", "judge card", judged(), "intake may not enter measurements", "may_not", "intake"),
    at_bench("no sample is due", "bench sample", {"blind": "yes", "at": DAY}, "No sample is due", "nothing_due"),
    at_bench(
        "a blind re-grade of nothing",
        "bench sample",
        {"blind": "yes", "file_sample_of": "G77"},
        "'G77'",
        "code_unknown",
    ),
    at_bench(
        "the same grader again",
        "grade",
        graded(lot=None, mass=None, file_sample_of="G01", blind="yes"),
        "bench-qm may not pick",
        "same_grader",
    ),
    at_bench("neither blind nor not", "bench sample", {"blind": "perhaps"}, "yes or no", "wrong_shape"),
    Case("one in a half", "regrade plan", {"one_in": "2.5"}, "One in reads 2.5", "out_of_range", "records"),
    at_bench("no right to set how often", "regrade plan", {"one_in": "10"}, "bench may not change rules", "may_not"),
    Case("no right to measure", "colour", coloured(), "intake may not enter measurements", "may_not", "intake"),
    at_bench(
        "hard seeds over the replicate",
        "germination",
        of_test(hard=["7", "1", "1", "1"]),
        "Replicate 1 counts 94 normal, 7 hard: 101 of 100 seeds",
        "replicates_wrong",
    ),
    at_bench("too few hard counts", "germination", of_test(hard=["1"]), "Hard has 1 counts for 4", "replicates_wrong"),
    at_bench("half a hard seed", "germination", of_test(hard=["1.5"] * 4), "it was counted", "not_whole"),
    at_bench("more ill than tested", "seed health", of_health(found="401"), "Found is 401 of 400", "out_of_range"),
    at_bench("none tested", "seed health", of_health(tested="0", found="0"), "Tested is 0", "out_of_range"),
    at_bench("half an ill seed", "seed health", of_health(found="1.5"), "Found is 1.5", "not_whole"),
    at_bench("no count of ill seeds", "seed health", of_health(found="NaN"), "cannot be read", "not_a_number"),
    at_bench("no pathogen", "seed health", of_health(pathogen=" "), "Pathogen is missing", "missing"),
    at_bench("no method", "seed health", of_health(method=""), "Method is missing", "missing"),
    at_bench("an endless pathogen", "seed health", of_health(pathogen="x" * 81), "80 fit", "too_long"),
    at_bench("an unknown lot for health", "seed health", of_health(lot="24-0099"), "No lot 24-0099-1", "unknown_lot"),
    at_bench("more seed than is left for health", "seed health", of_health(mass="2000"), "kg left of", "not_enough"),
    at_bench("a health test to come", "seed health", of_health(at="2027-01-05"), "2027-01-05", "future_date"),
    Case("no right to test health", "seed health", of_health(), "line may not test seed", "may_not", "line"),
    at_bench("more off", "variety purity", of_variety(off_types="201"), "201 of 200 looked at", "out_of_range"),
    at_bench("no such plants", "variety purity", of_variety(counted="trees"), "Counted reads 'trees'", "unknown_word"),
    at_bench("no off-types", "variety purity", of_variety(off_types=""), "Off types is missing", "missing"),
    Case(
        "parts that do not make the sample",
        "purity",
        of_purity(pure_seed_g="490.0"),
        "1.64 % apart, 0.5 is allowed",
        "does_not_make_the_sample",
        by="bench",
        is_question=True,
    ),
    at_bench("no working sample", "purity", of_purity(working_g="0"), "weighs 0 g", "out_of_range"),
    at_bench("no weight of a part", "purity", of_purity(weed_g="NaN"), "cannot be read", "not_a_number"),
    at_bench("a part below nothing", "purity", of_purity(weed_g="-1"), "Weed g is -1 g", "out_of_range"),
    at_bench("a part over it", "purity", of_purity(weed_g="501"), "more than the portion", "heavier_than_portion"),
    Case("a limit over all", "seed limit", {"name": "rust", "most_pct": "150"}, "up to 100", "out_of_range", "breeder"),
    Case("a limit of nothing", "seed limit", {"name": "", "most_pct": "1"}, "Name is missing", "missing", "breeder"),
    *(
        Case(f"a limit: {words}", "seed limit", words, says, code, "breeder")
        for words, says, code in (
            ({"name": "Germination", "most_pct": "85"}, "the least that will do", "wrong_side"),
            ({"name": "rust", "least_pct": "1"}, "the most that is allowed", "wrong_side"),
            ({"name": "germination", "least_pct": "85.5"}, "whole number", "not_whole"),
            ({"name": "germination", "least_pct": "100"}, "up to 99", "out_of_range"),
        )
    ),
    at_bench("no right to set limits", "seed limit", {"name": "rust", "most_pct": "1"}, "may not set what", "may_not"),
    *RULING,
)
