"""The questions that everybody asks, each answered within two steps of the home page."""

from django.urls import reverse
from django.utils.translation import gettext, gettext_lazy

from hilum.plugins.host import the_host
from inventory.queries.lot_questions import lot_questions

# Words, and where they are answered: an address's name, "?" and a question of the list of lots, or "!" and what the
# page of a plugin says that it answers.
_QUESTIONS = (
    (gettext_lazy("How much clean seed of a line is left, where, and how much of it is promised?"), "line-list"),
    (gettext_lazy("Which plots made a lot? Which lots, bags and shipments came from a plot?"), "trace-door"),
    (gettext_lazy("Is a lot good enough, by how much, how sure, and what limits it?"), "lots"),
    (gettext_lazy("What must be cleaned again, and is cleaning likely to mend it?"), "!recleaning"),
    (gettext_lazy("What was lost at each machine this month, and how much is unaccounted?"), "losses"),
    (gettext_lazy("Which lots germinate too low, too near to call, or were not tested in a year?"), "?below"),
    (gettext_lazy("What is on the floor and too wet, since when?"), "floor-wet"),
    (gettext_lazy("What came in today and has no sample, place or label yet?"), "floor-today"),
    (gettext_lazy("Which plots have not come in yet?"), "still-out"),
    (gettext_lazy("Where is a bag now, and what went out with it?"), "bag-door"),
    (gettext_lazy("Which two graders disagree?"), "!graders"),
    (gettext_lazy("Which lots do not look like their line?"), "?unlike"),
    (gettext_lazy("What changed since yesterday, who did it, and why?"), "changes"),
)


def asked_at_home(station: str) -> list[tuple[str, str]]:
    """List the questions with the addresses of their answers; one that no plugin answers says so."""
    own = {one.name for one in lot_questions(station)}
    told = {link.answers: link.address for link in the_host().page_links(station) if link.answers}
    return [(str(words), _address(where, own, told)) for words, where in _QUESTIONS]


def _address(where: str, own: set[str], told: dict[str, str]) -> str:
    if where.startswith("!"):
        return told.get(where[1:], "")
    if where.startswith("?"):
        return f"{reverse('lots')}?that={where[1:]}" if where[1:] in own else ""
    return reverse(where)


def not_answered() -> str:
    """Say that nothing here answers a question."""
    return gettext("no part of this site keeps what that would need")
