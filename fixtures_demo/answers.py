"""The questions of the season, with the answers it must give and what the ledger says."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from django.db.models import Sum

from fixtures_demo.season import TODAY
from fixtures_demo.tables import table
from grading.queries.behind import Standing as Graded
from grading.queries.behind import at_the_limit, not_first_grade
from grading.queries.germination import Watched, germination_watch
from inventory.models import Entry, Lot, Standing, Station
from inventory.queries.balancing import plant_balance
from inventory.queries.losses import Losses, losses
from inventory.queries.runs import run_balance
from inventory.queries.stocking import StockRow, stock
from inventory.queries.tracing import Trace, trace
from inventory.queries.verifying import verify
from inventory.rules.mass import MG_PER_KG, kg_words
from inventory.rules.rounding import half_up

FROM_THE_LINE = ("clean", "size", "sort", "blend")


@dataclass(frozen=True)
class Answer:
    """A question, the answer it must have, and the one that the ledger gives."""

    question: str
    expected: str
    given: str

    @property
    def is_right(self) -> bool:
        """The two are the same to the letter."""
        return self.expected == self.given


def answers(station: Station) -> Iterator[Answer]:
    """Ask every question of the season."""
    for question, expected, ask in QUESTIONS:
        yield Answer(question, expected, ask(station))


def _clean_left(station: Station, line: str) -> list[StockRow]:
    """Stock of a line that came out of a run or a blend."""
    rows = stock(station, line=line, today=TODAY)
    made = Standing.objects.filter(station=station, made_by__kind__in=FROM_THE_LINE).values_list(
        "lot__number", flat=True
    )
    from_the_line = set(made)
    return [row for row in rows if row.lot in from_the_line]


def _clean_navy(station: Station) -> str:
    rows = _clean_left(station, "QN-2104")
    parts = ", ".join(f"{row.lot} {kg_words(row.mg)} ({row.place})" for row in rows)
    clean = {row.lot for row in rows}
    reserve = [row for row in stock(station, line="QN-2104", today=TODAY) if row.lot not in clean]
    kept = ", ".join(f"{row.lot} {kg_words(row.mg)}" for row in reserve)
    return f"{kg_words(sum(row.mg for row in rows))} kg: {parts}; trial reserve {kept}"


def _clean_others(station: Station) -> str:
    said = []
    for line in ("QN-2109", "QB-2103", "QB-2108", "QP-2202"):
        rows = _clean_left(station, line)
        held = " (hold)" if any(row.hold for row in rows) else ""
        said.append(f"{kg_words(sum(row.mg for row in rows))}{held}")
    return f"{' / '.join(said)} kg"


def _from_the_block(station: Station) -> str:
    forward = trace(station, "QM25-I1", forward=True)
    back = trace(station, "25-0017-6")
    lots = " → ".join(node.id for node in forward.nodes if node.kind == "lot")
    return f"{lots}; back {_share(back, 'QM25-I1')}, forward {_share(forward, '25-0017-6')}"


def _bag_seven(station: Station) -> str:
    back = trace(station, "25-0017-6/7")
    return ", ".join(f"{node} {_share(back, node)}" for node in ("QM24-I1", "QM25-I1", "24-0017-9"))


def _share(traced: Trace, node: str) -> str:
    share = next(each.share for each in traced.nodes if each.id == node)
    return "null" if share is None else str(share)


def _where_it_went(station: Station) -> str:
    """Every act that took of 24-0016-5, by what it was."""
    lot = Lot.objects.get(station=station, number="24-0016-5")
    entries = Entry.objects.filter(lot=lot, operation__reversed_by__isnull=True, operation__reverses__isnull=True)
    acts = entries.values_list("operation__seq", "operation__kind").annotate(Sum("mg")).order_by("operation__at")
    gone = [f"{_WORDS.get(kind, kind)} {kg_words(-mg)}" for _seq, kind, mg in acts if mg < 0]
    left = sum(row.mg for row in lot.stock.all())
    return f"{', '.join(gone)}; left {kg_words(left)}"


_WORDS = {"test": "germination", "bag": "spilled", "ship": "strip test"}


def _gravity(start: date, end: date, *, is_alone: bool) -> Callable[[Station], str]:
    def ask(station: Station) -> str:
        found = losses(station, start, end, "gravity", is_alone=is_alone)
        return _alone(found) if is_alone else _streams(found)

    return ask


def _alone(found: Losses) -> str:
    lights = found.streams["lights"]
    return (
        f"feed {kg_words(found.feed_mg)}; lights {kg_words(lights)} ({found.percent(lights)} %); "
        f"middlings {kg_words(found.streams['middlings'])}; stones {kg_words(found.streams['stones'])}; "
        f"unaccounted {kg_words(found.unaccounted_mg)} ({found.percent(found.unaccounted_mg)} %)"
    )


def _streams(found: Losses) -> str:
    return "; ".join(f"{stream} {kg_words(found.streams[stream])}" for stream in ("lights", "middlings", "stones"))


def _not_first(station: Station) -> str:
    behind = ", ".join(_held_back(each) for each in not_first_grade(station))
    return f"{behind}; at the limit {', '.join(each.lot.number for each in at_the_limit(station))}"


def _held_back(standing: Graded) -> str:
    reading = standing.held_back[0].split(",")[0].split()[-1]
    return f"{standing.lot.number} ({reading} %)"


def _watched(station: Station) -> str:
    watch = germination_watch(station, TODAY)
    never = f"{len(watch.never)} trial bags" if all(_is_trial(each) for each in watch.never) else "others too"
    return (
        f"below {_tested(watch.below)}; too near {_tested(watch.too_near)}; "
        f"older {', '.join(each.lot.number for each in watch.older)}; never {never}"
    )


def _tested(watched: tuple[Watched, ...]) -> str:
    return ", ".join(f"{each.lot.number} ({each.test.result.mean_pct if each.test else '-'})" for each in watched)


def _is_trial(watched: Watched) -> bool:
    making = Standing.objects.get(lot_id=watched.lot.lot_id).made_by
    return making is not None and making.kind == "receive"


def _recovery(station: Station) -> str:
    first, second = run_balance(station, "R01"), run_balance(station, "R02")
    opening = Standing.objects.get(station=station, lot__number="24-0001-5").opening_mg
    one = (first.outs[0][1], first.feed_mg)
    two = (second.outs[0][1], second.feed_mg)
    return ", ".join(f"{half_up(Fraction(100 * out, feed), 1)} %" for out, feed in (one, two, (two[0], opening)))


def _whole_plant(station: Station) -> str:
    balance = plant_balance(station)
    went = (
        ("take-offs", balance.to("screenings")), ("unaccounted", balance.to("unaccounted")),
        ("drying", balance.to("moisture")), ("samples", balance.to("sampled")),
        ("germination", balance.to("tested", "germination")), ("spilled at bagging", balance.to("spilled", "bag")),
        ("blending", balance.to("spilled", "blend")), ("canning", balance.to("tested", "canning")),
        ("sown", balance.to("sown")), ("shipped", balance.to("shipped")), ("in store", balance.in_store),
    )  # fmt: skip
    parts = ", ".join(f"{name} {_two(mg)}" for name, mg in went)
    return f"in {_two(balance.total_in)} = {parts}; difference {_two(balance.difference)}"


def _two(mg: int) -> str:
    return f"{half_up(Fraction(mg, MG_PER_KG), 2):,}"


def _every_lot(station: Station) -> str:
    """Opening mass, line and what is left of each lot, against the season's table."""
    wrong = [row["lot"] for row in table("lots", "answers") if _lot(station, row["lot"]) != _expected_lot(row)]
    return f"{len(table('lots', 'answers')) - len(wrong)} lots as written" + (
        f", not {', '.join(wrong)}" if wrong else ""
    )


def _lot(station: Station, number: str) -> tuple[str, str, str, set[str]]:
    standing = Standing.objects.select_related("lot", "line").get(station=station, lot__number=number)
    rows = [row for row in standing.lot.stock.select_related("place") if row.mg]
    left = sum(row.mg for row in rows)
    return str(standing.line), kg_words(standing.opening_mg), kg_words(left), {row.place.code for row in rows}


def _expected_lot(row: dict[str, str]) -> tuple[str, str, str, set[str]]:
    opening, left = (kg_words(int(float(row[name]) * MG_PER_KG + 0.5)) for name in ("opening_kg", "left_kg"))
    return row["line"], opening, left, {row["place"]} if row["place"] and left != "0.0" else set()


def _books(station: Station) -> str:
    verdict = verify(station)
    return f"{len(verdict.differences)} differences, chain {verdict.chain}"


OCTOBER = {year: (date(year, 10, 1), date(year, 10, 31)) for year in (2024, 2025)}

QUESTIONS: tuple[tuple[str, str, Callable[[Station], str]], ...] = (
    (
        "Clean QN-2104 left",
        "1,120.5 kg: 24-0017-9 59.5 (A-02), 25-0014-5 1,030.2 (T-1), 25-0017-6 30.8 (A-03); "
        "trial reserve 24-0006-6 11.87, 25-0007-0 11.75",
        _clean_navy,
    ),
    ("Clean QN-2109 / QB-2103 / QB-2108 / QP-2202 left",
        "1,521.8 / 1,535.1 / 485.9 (hold) / 2,069.5 kg", _clean_others),
    (
        "Lots from block QM25-I1",
        "25-0001-9 → 25-0013-7 → 25-0014-5 → 25-0017-6; back 300/517, forward 31005/95128",
        _from_the_block,
    ),
    ("Where bag 7 of S2 came from", "QM24-I1 217/517, QM25-I1 300/517, 24-0017-9 null", _bag_seven),
    (
        "24-0016-5: where did 587.2 kg go",
        "sample 2.0, germination 0.3, spilled 0.6, strip test 150.0, germination 0.3, blend 434.0; left 0.0",
        _where_it_went,
    ),
    (
        "Gravity-only runs, October 2024",
        "feed 2,229.6; lights 85.9 (3.85 %); middlings 22.9; stones 1.9; unaccounted 4.9 (0.22 %)",
        _gravity(*OCTOBER[2024], is_alone=True),
    ),
    (
        "All gravity stages, October 2024",
        "lights 123.6; middlings 31.1; stones 2.7",
        _gravity(*OCTOBER[2024], is_alone=False),
    ),
    (
        "All gravity stages, October 2025",
        "lights 178.6; middlings 46.8; stones 4.2",
        _gravity(*OCTOBER[2025], is_alone=False),
    ),
    (
        "Not No. 1 and still in store (demo limits, from memory, not official)",
        "24-0023-0 (2.34 %), 25-0019-2 (2.38 %); at the limit 25-0018-4",
        _not_first,
    ),
    (
        "Germination before planting",
        "below 24-0023-0 (79); too near 25-0019-2 (86); "
        "older 24-0017-9, 24-0019-8, 24-0021-7, 24-0023-0, 24-0025-8; never 16 trial bags",
        _watched,
    ),
    ("Recovery of 24-0001-5 through R01, R02, together", "92.9 %, 95.1 %, 87.9 %", _recovery),
    (
        "Whole-plant balance, kg",
        "in 9,903.25 = take-offs 1,048.30, unaccounted 67.00, drying 23.60, samples 30.00, germination 3.90, "
        "spilled at bagging 2.40, blending 0.50, canning 2.00, sown 157.52, shipped 1,650.00, in store 6,918.03; "
        "difference 0.00",
        _whole_plant,
    ),
    ("The forty-four lots: line, opening, left, place", "44 lots as written", _every_lot),
    ("The books", "0 differences, chain whole", _books),
)  # fmt: skip
