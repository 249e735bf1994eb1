"""A run in words, as a picture and as a table: the same ways out in the same order."""

from collections.abc import Callable
from dataclasses import dataclass

from django.utils.translation import gettext

from inventory.drawing.flow import Flow, Spout, flow
from inventory.queries.run_flow import RunFlow, Way
from inventory.queries.showing import shown_mass, shown_number, shown_unit
from inventory.rules.mass import kg_text

HEADS = ("run", "way out", "lot", "kg", "percent of feed", "filled in by")


@dataclass(frozen=True)
class Row:
    """A way out as the table shows it."""

    name: str
    lot: str
    mg: int | None
    percent: str
    who: str
    kind: str
    link: str
    mark: str = ""


@dataclass(frozen=True)
class Picture:
    """A run, told three times."""

    run: RunFlow
    says: str
    flow: Flow
    rows: tuple[Row, ...]

    @property
    def middle(self) -> float:
        """Where the words of the feed stand [px]."""
        return max(20.0, self.flow.feed / 2 + 8)

    @property
    def feed(self) -> str:
        """The feed in words."""
        return "" if self.run.feed_mg is None else shown_mass(self.run.feed_mg)


def picture(run: RunFlow, link_of: Callable[[Way], str]) -> Picture:
    """Tell a run.

    Args:
        link_of: where a way out leads: to its field while the run is filled, later to its lot.
    """
    rows = [_row(run, way, link_of(way)) for way in (*run.outs, *run.spouts)]
    rows += _rest(run)
    spouts = [Spout(f"{row.mark}{row.name} {row.lot}".strip(), row.mg, row.kind, _words(row), row.link) for row in rows]
    return Picture(run, sentence(run), flow(run.feed_mg, spouts), tuple(rows))


def sentence(run: RunFlow) -> str:
    """Say in one sentence whether a run adds up."""
    unit, out = shown_unit(), shown_mass(run.out_mg)
    if run.feed_mg is None:
        return gettext("%(out)s %(unit)s were weighed so far; the feed is not weighed yet.") % {
            "out": out,
            "unit": unit,
        }
    missing = run.missing_mg or 0
    figures = {
        "feed": shown_mass(run.feed_mg), "unit": unit, "out": out, "missing": shown_mass(abs(missing)),
        "percent": shown_number(run.percent(missing)) if missing >= 0 else "", "allowed": shown_number(run.allowed_pct),
    }  # fmt: skip
    if missing < 0:
        return gettext(
            "%(feed)s %(unit)s went in and %(out)s came out: %(missing)s too much. Was a tare not taken off?"
        ) % figures  # fmt: skip
    if run.is_waiting:
        return gettext(
            "%(feed)s %(unit)s went in and %(out)s are weighed: %(missing)s still to weigh."
        ) % figures  # fmt: skip
    if run.is_over_allowed:
        return gettext(
            "%(feed)s %(unit)s went in and %(out)s came out: %(missing)s are missing (%(percent)s %%, allowed "
            "%(allowed)s)."
        ) % figures  # fmt: skip
    return gettext(
        "%(feed)s %(unit)s went in and %(out)s came out: %(missing)s unaccounted (%(percent)s %%, allowed %(allowed)s)."
    ) % figures  # fmt: skip


def table(run: RunFlow) -> list[tuple[str, ...]]:
    """Give a run's ways out with exact numbers, the feed first."""
    feed = (run.number, "feed", run.feed_lot, _kg(run.feed_mg), "100.00" if run.feed_mg else "", "")
    ways = [
        (run.number, way.name or "clean", way.lot, _kg(way.mg), run.percent(way.mg), way.who)
        for way in (*run.outs, *run.spouts)
    ]
    missing = run.missing_mg
    rest = (run.number, "unaccounted", "", _kg(missing), run.percent(missing), "")
    return [feed, *ways, *([rest] if missing is not None else [])]


def _kg(mg: int | None) -> str:
    return "" if mg is None else kg_text(mg)


def _row(run: RunFlow, way: Way, link: str) -> Row:
    name = gettext(way.name) if way.name else gettext("clean")
    return Row(name, way.lot, way.mg, run.percent(way.mg), way.who, "off" if way.name else "clean", link)


def _rest(run: RunFlow) -> list[Row]:
    """What is missing, or what is too much, is always last."""
    missing = run.missing_mg
    if missing is None:
        return []
    if missing < 0:
        return [Row(gettext("too much"), "", -missing, run.percent(-missing), "", "over", "#field-words-feed", "✕ ")]
    if run.is_over_allowed:
        return [Row(gettext("missing"), "", missing, run.percent(missing), "", "unaccounted over", "", "✕ ")]
    name = gettext("still to weigh") if run.is_waiting else gettext("unaccounted")
    return [Row(name, "", missing, run.percent(missing), "", "unaccounted", "")]


def _words(row: Row) -> str:
    return gettext("to weigh") if row.mg is None else shown_mass(row.mg)
