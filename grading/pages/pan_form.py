"""The pan's form: fields of each dish in the order of the tray, and what was typed brought to the words of the act."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext

from grading.models import Portion
from grading.queries.pan import Pan
from grading.rules.rule_set import COUNT, GROSS
from grading.rules.tray import Dish
from inventory.pages.forms import Form, FormField, form_with
from inventory.rules.mistakes import Mistake

_WHOLE = (
    "portion_g",
    "sound_g",
    "gross_g",
    "dockage_g",
    "moisture_pct",
    "seed_weight_g_per_100",
    "class_name",
    "rule_set",
    "grader",
)
_KEPT = ("key", "reason", "corrects")
_OVERLAP = ("overlap_g.1.factors.1", "overlap_g.1.factors.2", "overlap_g.1.g")


@dataclass(frozen=True)
class DishRow:
    """A dish of the tray with its two fields.

    Attributes:
        meaning: what it is and what it counts in, one sentence each.
    """

    dish: Dish
    grams: FormField
    pieces: FormField
    meaning: tuple[str, ...]


@dataclass(frozen=True)
class PanForm:
    """All of the pan's form.

    Attributes:
        judged: (name, words, its words the best first, the chosen one).
        stops: (name, words, whether it is ticked).
    """

    form: Form
    portion: FormField
    sound: FormField
    rows: tuple[DishRow, ...]
    judged: tuple[tuple[str, str, tuple[tuple[str, str], ...], str], ...]
    stops: tuple[tuple[str, str, bool], ...]


def pan_form(pan: Pan, typed: Mapping[str, str], mistakes: Sequence[Mistake], *, key: str) -> PanForm:
    """Lay the form out, filled with what was typed and with what is wrong beside its field."""
    names = [*_WHOLE, "counts.portion", "picked", "overlap_g.1.g"]
    fields = [FormField(name, "", "", value=_value(name, pan, typed)) for name in names]
    for dish in pan.dishes:
        fields += [
            FormField(f"{what}.{dish.name}", dish.words, "", value=typed.get(f"{what}.{dish.name}", ""))
            for what in ("weights_g", "counts")
        ]
    form = form_with(tuple(fields), typed, list(_in_words(pan, typed, mistakes)), key=key)
    rows = tuple(
        DishRow(
            dish, form.field(f"weights_g.{dish.name}"), form.field(f"counts.{dish.name}"), tuple(_meaning(pan, dish))
        )
        for dish in pan.dishes
    )
    return PanForm(form, form.field("portion_g"), form.field("sound_g"), rows, _judged(pan, typed), _stops(pan, typed))


def typed_portion(typed: Mapping[str, str]) -> dict[str, str]:
    """Take what the act knows out of what was posted; blank fields and half an overlap are left out."""
    kept = {
        name: value for name, value in typed.items() if name in _WHOLE or name in _KEPT or name.startswith("answer.")
    }
    kept |= {name: _bare(value) for name, value in typed.items() if name.startswith(("weights_g.", "counts."))}
    kept |= {name: value for name, value in typed.items() if name.startswith("appearance.")}
    stops = sorted(name.removeprefix("stop.") for name, value in typed.items() if name.startswith("stop.") and value)
    kept |= {f"stops.{place}": stop for place, stop in enumerate(stops, 1)}
    if typed.get("overlap_g.1.g", "").strip():
        kept |= {name: typed.get(name, "") for name in _OVERLAP}
    return {name: value for name, value in kept.items() if value.strip()}


def typed_again(row: Portion) -> dict[str, str]:
    """Write a portion in the books as it would be typed, to be put right."""
    whole = {
        "portion_g": row.portion_g,
        "sound_g": row.sound_g,
        "gross_g": row.gross_g,
        "dockage_g": row.dockage_g,
        "moisture_pct": row.moisture_pct,
        "seed_weight_g_per_100": row.seed_weight_g_per_100,
        "class_name": row.class_name,
        "rule_set": row.rule_set,
        "grader": row.grader,
        "corrects": f"#{row.operation.seq}",
    }
    overlap = row.overlap_g[0] if len(row.overlap_g) == 1 and len(row.overlap_g[0]["factors"]) == 2 else None
    both = dict(zip(_OVERLAP, (*overlap["factors"], overlap["g"]), strict=True)) if overlap else {}
    return {
        **whole,
        **both,
        **{f"weights_g.{dish}": str(grams) for dish, grams in row.weights_g.items()},
        **{f"counts.{dish}": str(pieces) for dish, pieces in row.counts.items()},
        **{f"appearance.{thing}": word for thing, word in row.appearance.items()},
        **{f"stop.{stop}": "yes" for stop in row.stops},
    }


def _value(name: str, pan: Pan, typed: Mapping[str, str]) -> str:
    if name == "seed_weight_g_per_100" and not typed:
        return pan.seed_weight
    return typed.get(name, "")


def _bare(value: str) -> str:
    """Take off the unit that a balance types."""
    return value.strip().removesuffix("g").strip()


def _in_words(pan: Pan, typed: Mapping[str, str], mistakes: Sequence[Mistake]) -> Iterator[Mistake]:
    """Name a field by the words on the page, not by its name in a file, and a slip by its dish."""
    words = {f"weights_g.{dish.name}": dish.words.capitalize() for dish in pan.dishes}
    words |= {f"counts.{dish.name}": gettext("Pieces of %(dish)s") % {"dish": dish.words} for dish in pan.dishes}
    words |= {
        "portion_g": gettext("The portion"),
        "sound_g": gettext("The sound beans"),
        "gross_g": gettext("The uncleaned weight"),
        "dockage_g": gettext("The dockage"),
        "moisture_pct": gettext("The moisture"),
        "counts.portion": gettext("Pieces in the portion"),
        "seed_weight_g_per_100": gettext("The weight of 100 seeds"),
    }
    for mistake in mistakes:
        if mistake.code == "pan_does_not_close" and mistake.proposal:
            mistake.field = "sound_g" if mistake.field == "sound" else f"weights_g.{mistake.field}"
        for name, said in words.items():
            mistake.says = mistake.says.replace(name, said)
        if mistake.field == "portion_g" and not typed.get("portion_g", "").strip():
            mistake.says = gettext("The portion has no weight. Weigh what you pick through, and type it in grams.")
        yield mistake


def _meaning(pan: Pan, dish: Dish) -> Iterator[str]:
    """Say what a dish is, without a limit: nobody should pick to one."""
    rule_set = pan.rule_set
    if rule_set is None:
        return
    factor = rule_set.factors[dish.name]
    base = gettext("the uncleaned weight") if factor.basis == GROSS else gettext("the cleaned weight")
    if factor.taken_by == COUNT:
        yield gettext("%(dish)s: pieces of all pieces.") % {"dish": dish.words.capitalize()}
    else:
        yield gettext("%(dish)s: per cent of %(base)s.") % {"dish": dish.words.capitalize(), "base": base}
    totals = [each.words for each in rule_set.factors.values() if dish.name in each.dishes and each.name != dish.name]
    if totals:
        yield gettext("Counts in: %(totals)s.") % {"totals": ", ".join(totals)}
    if factor.also_called:
        yield gettext("Also called: %(names)s.") % {
            "names": ", ".join(name.replace("_", " ") for name in factor.also_called)
        }
    yield gettext("Rule set %(id)s, edition %(edition)s: %(source)s.") % {
        "id": rule_set.id,
        "edition": rule_set.edition,
        "source": rule_set.source,
    }


def _judged(pan: Pan, typed: Mapping[str, str]) -> tuple[tuple[str, str, tuple[tuple[str, str], ...], str], ...]:
    things = pan.rule_set.judged.values() if pan.rule_set else ()
    return tuple(
        (
            thing.name,
            thing.words,
            tuple((word, word.replace("_", " ")) for word in thing.best_first),
            typed.get(f"appearance.{thing.name}", ""),
        )
        for thing in things
    )


def _stops(pan: Pan, typed: Mapping[str, str]) -> tuple[tuple[str, str, bool], ...]:
    stops = pan.rule_set.stops if pan.rule_set else ()
    return tuple((stop, stop.replace("_", " "), bool(typed.get(f"stop.{stop}"))) for stop in stops)
