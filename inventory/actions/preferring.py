"""A person's own choice of language and unit; it is no act upon seed, so it leaves no trace in the books."""

from django.contrib.auth.models import User

from inventory.models import Preference
from inventory.queries.preferences import LANGUAGES, UNITS
from inventory.rules.gathering import Gathering


def prefer(*, by: User, language: str, unit: str) -> None:
    """Keep a person's language and unit of mass.

    Raises:
        Refused: a language or unit that there is not.
    """
    words = Gathering()
    chosen = words.word(language, "language", list(LANGUAGES), "en")
    mass = words.word(unit, "unit", UNITS, "kg")
    words.finish()
    Preference.objects.update_or_create(user=by, defaults={"language": chosen, "unit": mass})
