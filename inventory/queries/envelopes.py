"""The envelopes of a sowing: one a plot, in planting order, with the lot, the seed in it and where it goes."""

from collections.abc import Iterable
from fractions import Fraction

from django.utils.translation import gettext

from inventory.models import Link, Lot, Operation, Plot, Station
from inventory.papers.labels import EnvelopeLabel
from inventory.queries.label_texts import day_words
from inventory.queries.showing import shown_number
from inventory.rules.label_codes import LabelKind, label_code
from inventory.rules.mass import MG_PER_G
from inventory.rules.nodes import key_of
from inventory.rules.rounding import half_up


def envelope_labels(station: Station, act: Operation) -> list[EnvelopeLabel]:
    """Write the labels of all that was packed with an act (4 queries).

    Packing many lots is one act a lot under one key; their envelopes stand together in planting order.
    """
    sown = Operation.objects.filter(station=station, kind="sow", reversed_by__isnull=True)
    acts = sown.filter(key=act.key) if act.key else sown.filter(pk=act.pk)
    links = list(Link.objects.filter(operation__in=acts, is_sowing=True).select_related("operation"))
    plots = Plot.objects.select_related("line").in_bulk([key_of(link.child) for link in links])
    lots = Lot.objects.in_bulk([key_of(link.parent) for link in links])
    ordered = sorted(links, key=lambda link: planting_order(plots[key_of(link.child)]))
    return [
        _label(station, (place, len(links)), plots[key_of(link.child)], lots[key_of(link.parent)], link)
        for place, link in enumerate(ordered, start=1)
    ]


def planting_order(plot: Plot) -> tuple[int, int, str, int, int, str]:
    """Order plots as they are walked: season, field, trial, then rep by rep, position by position."""
    return plot.season, plot.site_id, plot.trial, plot.rep or 0, plot.position or 0, plot.code


def _label(station: Station, order: tuple[int, int], plot: Plot, lot: Lot, link: Link) -> EnvelopeLabel:
    return EnvelopeLabel(
        order=gettext("%(n)s of %(all)s") % {"n": order[0], "all": order[1]},
        plot=plot.code,
        digits=label_code(LabelKind.PLOT, plot.pk),
        lines=tuple(_lines(station, plot, lot, link)),
    )


def _lines(station: Station, plot: Plot, lot: Lot, link: Link) -> Iterable[str]:
    yield plot.line.name
    yield gettext("from %(lots)s") % {"lots": lot.number}
    yield gettext("%(grams)s g, %(day)s") % {
        "grams": shown_number(half_up(Fraction(link.weight, MG_PER_G), 1)), "day": day_words(link.operation.at, station)
    }  # fmt: skip
