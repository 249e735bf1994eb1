"""Runs that are being filled."""

from django.db.models import QuerySet

from inventory.models import RunDraft, Station
from inventory.rules.drafts import UnknownDraft
from inventory.rules.reading import plain, typed_text


def open_drafts(station: Station) -> QuerySet[RunDraft]:
    """Runs that were started and not booked, the oldest first."""
    drafts = RunDraft.objects.filter(station=station, booked=None)
    return drafts.select_related("feed_lot__standing__line", "started_by").order_by("pk")


def find_draft(station: Station, typed: object) -> RunDraft:
    """Find a draft by its number, in any case (1 query).

    Raises:
        UnknownDraft: there is none.
    """
    number = plain(typed_text(typed))
    draft = RunDraft.objects.filter(station=station, number__iexact=number).order_by("pk").last() if number else None
    if draft is None:
        raise UnknownDraft(number)
    return draft


def kept_word(draft: RunDraft, name: str) -> str:
    """Give what stands in a field of a draft as it was typed; "" where nothing does.

    Args:
        name: "spouts.throughs", "outs.1.mass" or "words.feed".
    """
    part, _dot, rest = name.partition(".")
    kept = draft.typed.get(part, {})
    if part == "outs":
        position, _dot, rest = rest.partition(".")
        kept = kept.get(position, {})
    return str(kept.get(rest, ""))
