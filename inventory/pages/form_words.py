"""What the fields of a plain form are called on a page, where the word of a command would not do there."""

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy

from inventory.rules.reading import field_words

# Words that only name a field's type: a person sees a box to write in anyway.
_SAYS_NOTHING = ("a word", "a word or number")

_LABELS: dict[str, Promise] = {
    "a": gettext_lazy("a*"),
    "after": gettext_lazy("Moisture afterwards"),
    "at": gettext_lazy("When"),
    "b": gettext_lazy("b*"),
    "before": gettext_lazy("Moisture before"),
    "card": gettext_lazy("Class card"),
    "code": gettext_lazy("Code or number"),
    "count_on": gettext_lazy("To be counted on"),
    "dish_g": gettext_lazy("Dish, g"),
    "dockage_g": gettext_lazy("Dockage, g"),
    "dry_g": gettext_lazy("Dry, g"),
    "found": gettext_lazy("Infected seeds found"),
    "g": gettext_lazy("Grams"),
    "germination_pct": gettext_lazy("Germination, %"),
    "gln": gettext_lazy("GLN"),
    "gross_g": gettext_lazy("Before cleaning, g"),
    "gtin": gettext_lazy("GTIN"),
    "inert_g": gettext_lazy("Inert matter, g"),
    "is_all": gettext_lazy("These are all bags that stand there"),
    "is_block": gettext_lazy("It is an increase block"),
    "is_cleaned_out": gettext_lazy("The line was cleaned out before this feed"),
    "is_estimate": gettext_lazy("It is an estimate"),
    "is_row": gettext_lazy("It is a row and no single plant"),
    "least_pct": gettext_lazy("At least, %"),
    "lightness": gettext_lazy("L*"),
    "moisture_pct": gettext_lazy("Moisture, %"),
    "most_pct": gettext_lazy("At most, %"),
    "one_in": gettext_lazy("One sample in"),
    "other_crop_g": gettext_lazy("Other crop, g"),
    "out": gettext_lazy("Weighed out"),
    "overage_pct": gettext_lazy("Seed to spare, %"),
    "pct": gettext_lazy("Per cent"),
    "portion_g": gettext_lazy("Portion, g"),
    "pure_seed_g": gettext_lazy("Pure seed, g"),
    "ref": gettext_lazy("What is bad"),
    "said": gettext_lazy("What they said"),
    "seed_weight_g_per_100": gettext_lazy("100 seeds weigh, g"),
    "sieved_g": gettext_lazy("Sieved, g"),
    "sound_g": gettext_lazy("Sound beans, g"),
    "taken_off": gettext_lazy("Taken off, by spout"),
    "tested": gettext_lazy("Seeds tested"),
    "trial_only": gettext_lazy("For trial use only"),
    "weed_g": gettext_lazy("Weed seed, g"),
    "weights_g": gettext_lazy("Dishes, g"),
    "wet_g": gettext_lazy("Wet, g"),
    "with_descendants": gettext_lazy("And what was made of it before"),
    "working_g": gettext_lazy("Working sample, g"),
}


def label_of(name: str) -> str:
    """Name a field on a page: "sieved_g" -> "Sieved, g"."""
    return str(_LABELS[name]) if name in _LABELS else field_words(name)


def hint_of(told: str) -> str:
    """Say what a field takes as a page does: without its type alone, and "without it" as "empty:"."""
    says, _semicolon, left_out = told.removeprefix("needed; ").partition("; without it ")
    parts = ("" if says in _SAYS_NOTHING else says, left_out and f"empty: {left_out}")
    return "; ".join(part for part in parts if part)
