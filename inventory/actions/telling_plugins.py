"""Tell plugins of acts that are written: after the commit, each at its own pace, at least once each."""

from collections.abc import Sequence

from django.db import transaction

from hilum.plugins import ActDone
from hilum.plugins.host import the_host
from inventory.models import ChainHead, Station, ToldPlugin
from inventory.queries.acts_done import acts_done

AT_ONCE = 200  # acts that are told in one call


def tell_plugins() -> int:
    """Tell each plugin of the next acts of each station; a plugin that fails hears the same ones again next time.

    Returns:
        How many acts were told, over all plugins and stations; 0 when everybody has heard everything or failed.
    """
    listeners = the_host().plugins_with("after_commit")
    stations = list(Station.objects.order_by("pk")) if listeners else []
    return sum(
        _tell(plugin, station) for station in stations for plugin in listeners if the_host().is_on(plugin, station.code)
    )


def _tell(plugin: str, station: Station) -> int:
    head = ChainHead.objects.filter(station=station).values_list("seq", flat=True).first() or 0
    told, _is_new = ToldPlugin.objects.get_or_create(station=station, plugin=plugin)
    if told.seq >= head:
        return 0
    with transaction.atomic():
        told = ToldPlugin.objects.select_for_update().get(pk=told.pk)  # two workers do not tell the same at once
        acts = acts_done(station, after=told.seq, most=AT_ONCE)
        if why := _heard(plugin, station, acts):
            ToldPlugin.objects.filter(pk=told.pk).update(failed=why)
            return 0
        ToldPlugin.objects.filter(pk=told.pk).update(seq=acts[-1].number if acts else told.seq, failed="")
    return len(acts)


class _PluginError(Exception):
    """Takes back what a plugin wrote before it failed."""


def _heard(plugin: str, station: Station, acts: Sequence[ActDone]) -> str:
    try:
        with transaction.atomic():
            troubles = the_host().after_commit(acts, station.code, only=plugin)
            if troubles:
                raise _PluginError(troubles[0].says)
    except _PluginError as why:
        return str(why)
    return ""
