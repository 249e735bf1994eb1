"""Drafts of rule sets: editions that are being worked on and grade nothing yet."""

from grading.models import RulesDraft
from grading.rules.mistakes import nearest
from inventory.models import Station
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import listed, plain, quoted, typed_text


class NoSuchDraft(Mistake):
    """No draft has this id and edition."""

    code = "no_such_draft"

    def __init__(self, typed: str, known: list[str]) -> None:
        near = nearest(typed, known)
        there = f"There are {listed(known, 'and')}." if known else "There is none: draft the rules first."
        hint = f" Did you mean {near}?" if near else ""
        super().__init__(f"No draft {quoted(typed)} is here. {there}{hint}", field="rule_set", proposal=near)


def drafts_of(station: Station) -> list[RulesDraft]:
    """Give a station's drafts by id and edition (1 query)."""
    return list(RulesDraft.objects.filter(station=station).select_related("drafted_by").order_by("rule_set", "edition"))


def draft_of(station: Station, rule_set: object, edition: object, *, lock: bool = False) -> RulesDraft:
    """Find a draft by its id, typed in any case, and its edition (1 query, 1 more where there is none).

    Args:
        lock: hold all drafts of this id until the act is written, so that two of them cannot begin at once.

    Raises:
        Mistake: there is none; the drafts there are, are named.
    """
    wanted, of = plain(typed_text(rule_set)), plain(typed_text(edition))
    rows = RulesDraft.objects.filter(station=station, rule_set__iexact=wanted)
    found = [row for row in (rows.select_for_update() if lock else rows) if row.edition == of]
    if not found:
        raise NoSuchDraft(f"{wanted}:{of}", [str(row) for row in drafts_of(station)])
    return found[0]
