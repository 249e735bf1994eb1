"""The acts of the bench as general doors offer them, each on one line: verb, its typed words, the action that does it.

The inventory's own `sample` draws seed; `bench sample` draws it under a tag that is graded later, and `grade` takes and
grades in one, or grades a further portion of a sample that stands. A portion's fields are called as in `grade -`, so
that one document serves both, and what is wrong is said of the field that was typed.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields
from typing import Any

from grading.actions.correcting import correct_grading
from grading.actions.filing import (
    Discarded,
    Shelved,
    TakenOut,
    discard_file_samples,
    keep_file_samples,
    take_file_samples_out,
)
from grading.actions.grading import SampledAndWorked, grade_portion, sample_and_grade
from grading.actions.judging import CardJudged, judge_cards
from grading.actions.measuring import Coloured, HundredSeeds, Screened, measure_colours, measure_seed_weights
from grading.actions.measuring import measure_sizes as measure_size_curves
from grading.actions.noting import SampleNoting, note_samples
from grading.actions.packing import Packing, pack_for_sowing
from grading.actions.portions import Worked
from grading.actions.regrading import HowOften, set_regrades
from grading.actions.ruling import (
    DraftedRules,
    PutInForce,
    WithdrawRules,
    draft_rules,
    put_rules_in_force,
    withdraw_rules,
)
from grading.actions.sampling import Sampled, take_sample
from grading.actions.seed_testing import (
    Allowed,
    PurityWeighed,
    SeedHealth,
    VarietyPurity,
    book_purity,
    book_seed_health,
    book_variety_purity,
    set_seed_limits,
)
from grading.actions.tagging import Tagging, print_tags
from grading.actions.testing import Germination, book_germination
from grading.actions.trays import TraySet, set_trays
from hilum.plugins import ActOffer
from inventory.actions.acting import Booked
from inventory.actions.desk import Typed
from inventory.importing.acts import one
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.reading import listed

GRAMS, A_PER_CENT = "grams, such as 2.4", "a per cent on wet basis, such as 16.2"


def _looks(says: str) -> Mapping[str, str]:
    return {"looks": says}


class DrawnTwice(Mistake):
    """One sample that stands is named, and another one is to be drawn."""

    code = "drawn_twice"

    def __init__(self, sample: Typed, drawing: Sequence[str]) -> None:
        says = f"sample={sample} names one that stands, but {listed(list(drawing), 'and')} would take a new one."
        super().__init__(
            f"{says} Give sample alone for a further portion of it; a new sample's tag is number=….", field="sample"
        )


@dataclass(frozen=True, kw_only=True)
class CountedTwice:
    """Weight that counts under several dishes."""

    factors: Sequence[str]
    g: Typed = field(metadata=_looks(GRAMS))


@dataclass(frozen=True, kw_only=True)
class Graded(Sampled):
    """A portion as it was picked, with the sample it is of: one that stands, or one that is taken now."""

    sample: Typed = field(default=None, metadata=_looks("a sample that stands, such as G03; without it one is taken"))
    portion_g: Typed = field(metadata=_looks("grams, such as 500.3"))
    weights_g: Mapping[str, Typed] = field(default_factory=dict, metadata=_looks("grams of each dish, such as 2.4"))
    counts: Mapping[str, Typed] = field(default_factory=dict, metadata=_looks("pieces of each dish, such as 3"))
    overlap_g: Sequence[CountedTwice] = ()
    appearance: Mapping[str, Typed] = field(default_factory=dict, metadata=_looks("a word for each thing judged"))
    stops: Sequence[str] = ()
    sound_g: Typed = field(default=None, metadata=_looks("grams, such as 494.6"))
    gross_g: Typed = field(default=None, metadata=_looks("grams, such as 1000"))
    dockage_g: Typed = field(default=None, metadata=_looks(GRAMS))
    moisture_pct: Typed = field(default=None, metadata=_looks(A_PER_CENT))
    seed_weight_g_per_100: Typed = field(default=None, metadata=_looks("grams, such as 18.2"))
    class_name: str = ""
    rule_set: str = ""
    grader: str = ""


@dataclass(frozen=True, kw_only=True)
class Regraded(Graded):
    """A grading as it should have read, and the act that it corrects."""

    corrects: Typed = field(metadata=_looks("the act that graded it, such as #41"))


@dataclass(frozen=True, kw_only=True)
class OnScreen:
    """What stayed on one screen, as a share or weighed."""

    screen: str
    pct: Typed = field(default=None, metadata=_looks("a per cent by weight, such as 38.6; or give g"))
    g: Typed = field(default=None, metadata=_looks("grams, such as 193.1; or give pct"))


@dataclass(frozen=True, kw_only=True)
class OnScreens:
    """A size curve, the widest screen first and the pan last."""

    lot: Typed
    screens: Sequence[OnScreen]
    sieved_g: Typed = field(default=None, metadata=_looks("grams that went onto the top screen, such as 500"))
    shape: str = field(default="", metadata=_looks("round or slotted, of screens that do not say it"))
    at: Typed = None


def grade(words: Graded, **asked: Any) -> Booked:
    """Grade a portion of the sample that is named, or take a sample and grade it.

    Raises:
        Refused: everything that stands in the way.
    """
    drawn = Sampled(**{each.name: getattr(words, each.name) for each in fields(Sampled)})
    if words.sample in (None, ""):
        return sample_and_grade(SampledAndWorked(sample=drawn, portion=worked_of(words)), **asked)
    if drawing := [each.name for each in fields(Sampled) if each.name != "at" and _is_given(drawn, each)]:
        raise Refused([DrawnTwice(words.sample, drawing)])
    return grade_portion(worked_of(words), **asked)


def correct_grade(words: Regraded, **asked: Any) -> Booked:
    """Take a grading back and book it as it should have read.

    Raises:
        Refused: everything that stands in the way.
    """
    return correct_grading(worked_of(words), words.corrects, **asked)


def _is_given(drawn: Sampled, each: Any) -> bool:
    return getattr(drawn, each.name) not in (None, "", each.default)


def worked_of(words: Graded) -> Worked:
    """Take the portion out of the words of a grading."""
    overlap = [{"factors": list(each.factors), "g": each.g} for each in words.overlap_g]
    return Worked(
        sample=words.sample, portion=words.portion_g, weights=words.weights_g, counts=words.counts, overlap=overlap,
        appearance=words.appearance, stops=words.stops, gross=words.gross_g, dockage=words.dockage_g,
        sound=words.sound_g, moisture=words.moisture_pct, seed_weight=words.seed_weight_g_per_100,
        class_name=words.class_name, rule_set=words.rule_set, grader=words.grader, at=words.at,
    )  # fmt: skip


def measure_sizes(words: OnScreens, **asked: Any) -> Booked:
    """Enter one size curve."""
    is_weighed = any(each.g not in (None, "") for each in words.screens)
    measured = Screened(
        lot=words.lot, screens=[(each.screen, each.pct) for each in words.screens],
        grams=[each.g for each in words.screens] if is_weighed else (), sieved_g=words.sieved_g, shape=words.shape,
        at=words.at,
    )  # fmt: skip
    return measure_size_curves([measured], **asked)


OFFERS = (
    ActOffer("bench sample", Sampled, take_sample),
    ActOffer("grade", Graded, grade),
    ActOffer("correct grade", Regraded, correct_grade),
    ActOffer("keep file sample", Shelved, one(keep_file_samples)),
    ActOffer("take file sample out", TakenOut, one(take_file_samples_out)),
    ActOffer("discard file sample", Discarded, one(discard_file_samples)),
    ActOffer("set tray", TraySet, one(set_trays)),
    ActOffer("germination", Germination, book_germination),
    ActOffer("seed health", SeedHealth, one(book_seed_health)),
    ActOffer("variety purity", VarietyPurity, one(book_variety_purity)),
    ActOffer("purity", PurityWeighed, one(book_purity)),
    ActOffer("seed limit", Allowed, one(set_seed_limits)),
    ActOffer("seed weight", HundredSeeds, one(measure_seed_weights)),
    ActOffer("size curve", OnScreens, measure_sizes),
    ActOffer("pack for sowing", Packing, pack_for_sowing),
    ActOffer("sample tag", Tagging, print_tags),
    ActOffer("note sample", SampleNoting, one(note_samples)),
    ActOffer("colour", Coloured, one(measure_colours)),
    ActOffer("judge card", CardJudged, one(judge_cards)),
    ActOffer("regrade plan", HowOften, set_regrades),
    ActOffer("draft rules", DraftedRules, draft_rules),
    ActOffer("put rules in force", PutInForce, put_rules_in_force),
    ActOffer("withdraw rules", WithdrawRules, withdraw_rules),
)
