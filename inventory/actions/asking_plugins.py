"""Ask plugins before an act is written: within its transaction, so that what they saw is what is written."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import UTC

from hilum.plugins import ActAhead, Moved
from hilum.plugins.host import VetoUnanswered, the_host
from inventory.actions.drafts import Draft, EntryDraft
from inventory.models import Lot, Place
from inventory.rules.mistakes import Refused
from inventory.rules.plugin_mistakes import PluginFailed, Vetoed


def ask_plugins(drafts: Sequence[Draft]) -> None:
    """Let every plugin say no to acts that are about to be written (2 queries, where any plugin may).

    Raises:
        Refused: one says no, or should have been asked and failed.
    """
    host = the_host()
    if not host.plugins_with("veto"):
        return
    try:
        vetoes = host.veto(_ahead(drafts), drafts[0].station.code)
    except VetoUnanswered as unanswered:
        raise Refused([PluginFailed(str(unanswered))]) from unanswered
    if vetoes:
        raise Refused([Vetoed(plugin, veto.says) for plugin, veto in vetoes])


def _ahead(drafts: Sequence[Draft]) -> list[ActAhead]:
    entries = [entry for draft in drafts for entry in draft.entries]
    keys = {key for draft in drafts for key in _lot_keys(draft)}
    lots = dict(Lot.objects.filter(pk__in=keys).values_list("pk", "number"))
    places = dict(Place.objects.filter(pk__in={entry.place_id for entry in entries}).values_list("pk", "code"))
    return [
        ActAhead(
            draft.kind, draft.by.get_username(), draft.at.astimezone(UTC).isoformat(), draft.reason,
            tuple(dict.fromkeys(lots[key] for key in _lot_keys(draft))),
            tuple(_moved(entry, lots, places) for entry in draft.entries),
        )
        for draft in drafts
    ]  # fmt: skip


def _lot_keys(draft: Draft) -> Iterator[int]:
    """Name the lots of an act by their keys: whose seed it moves, then those that its rows are about."""
    found = [entry.lot_id for entry in draft.entries] + [getattr(row, "lot_id", None) for row in draft.rows]
    yield from (key for key in found if key is not None)


def _moved(entry: EntryDraft, lots: Mapping[int, str], places: Mapping[int, str]) -> Moved:
    lot = lots[entry.lot_id] if entry.lot_id is not None else ""
    place = places[entry.place_id] if entry.place_id is not None else ""
    return Moved(entry.mg, lot, place, entry.bag_no, entry.account)
