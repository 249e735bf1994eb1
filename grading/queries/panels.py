"""A lot's grade and germination as the boxes of its page."""

from decimal import Decimal

from django.contrib.auth.models import User

from grading.queries.agreement import agreement
from grading.queries.behind import held_back, how_sure
from grading.queries.blind import hidden_from
from grading.queries.colour_panel import colour_panels
from grading.queries.finding import day_of
from grading.queries.germination import THRESHOLD_PCT, Tested, forecast_of, germinations_of, newest_valid
from grading.queries.grades import Graded, grades_of, pool
from grading.queries.sampled import sampling_line
from grading.queries.seed_tests import counts_of, purity_of
from grading.rules.germination import is_too_near_to_call
from grading.rules.purity import LAW, WORDS
from grading.rules.rule_set import CLEANED, GROSS
from grading.stats.beta import chance_text
from hilum.plugins import Panel
from inventory.models import Lot, Station
from inventory.rules.rounding import half_up

HIDDEN = Panel("Grade", (("Grade", "hidden from graders until a blind re-grade is in the books"),))
Rows = list[tuple[str, str]]
BASE = {GROSS: "% of the uncleaned weight", CLEANED: "% of the cleaned weight"}


def panels_of_lot(station: Station, lot_number: str, person: str = "") -> list[Panel]:
    """Give the boxes of a lot that was graded, tested or read for colour (12 queries, up to 3 more for a person).

    Args:
        person: account that looks; what a blind re-grade still waits for is hidden from whoever might pick it.
    """
    lot = Lot.objects.filter(station=station, number=lot_number).select_related("station").first()
    if lot is None:
        return []
    grades = grades_of(station, [lot.pk]).get(lot.pk, [])
    tests = germinations_of(station, [lot.pk]).get(lot.pk, [])
    hidden = _hidden(station, person, grades)
    panels = [HIDDEN if hidden else _grade_panel(station, grades)] if grades else []
    germination = [*_test_rows(tests), *_tested_sampling(tests, grades, station), *_forecast_rows(lot)]
    tested = [Panel("Germination", tuple(germination))] if germination else []
    return [*panels, *tested, *_seed_test_panels(station, lot), *colour_panels(station, lot)]


def _hidden(station: Station, person: str, grades: list[Graded]) -> bool:
    """Say whether a result of these is hidden from a person: the lot's chances would give it away, so all are."""
    user = User.objects.filter(username=person).first() if person and grades else None
    hidden = hidden_from(station, user) if user else {}
    return any(each.sample.pk in hidden for each in grades)


def _seed_test_panels(station: Station, lot: Lot) -> list[Panel]:
    """Purity, and each pathogen and off-type that was counted (4 queries)."""
    counts, analysed = counts_of(station, [lot.pk]).get(lot.pk, []), purity_of(station, lot.pk)
    rows: Rows = [(counted.name[:1].upper() + counted.name[1:], counted.says) for counted in counts]
    panels = [Panel("Health and variety", tuple(rows))] if rows else []
    if analysed is None:
        return panels
    day, found = analysed
    parts = [(WORDS[part].capitalize(), f"{percent} %") for part, percent in found.percent.items()]
    return [*panels, Panel("Purity", (*parts, ("Analysed", f"{day} ({LAW})")))]


def _grade_panel(station: Station, grades: list[Graded]) -> Panel:
    newest = grades[0]
    result, sample = newest.outcome, newest.sample
    rows: Rows = [("Grade", f"{result.grade}: {'; '.join(held_back(result))}" if result.limiting else result.grade)]
    rows.append(("Sample", f"{sample.number}, {day_of(sample.operation, station)}, graded by {newest.row.grader}"))
    if sample.file_sample_of:
        rows.append(("Re-grade", f"of the file sample of {sample.file_sample_of.number}"))
    rows += _sure_rows(grades)
    rows += [
        (reading.factor.words.capitalize(), f"{reading.read_pct} {BASE[reading.factor.basis]}")
        for reading in result.readings
    ]
    if result.dockage:
        rows.append(("Dockage", f"{result.dockage.read_pct} {BASE[GROSS]}"))
    rows.append(("Sampling", sampling_line(sample)))
    rows.append(("Rule set", f"{result.rule_set.id}, edition {result.rule_set.edition} ({result.rule_set.source})"))
    rows += [("Note", note) for note in dict.fromkeys(result.notes) if note != result.rule_set.source]
    return Panel("Grade", tuple(rows))


def _sure_rows(grades: list[Graded]) -> Rows:
    together = pool(grades)
    sure = how_sure(together) if together else None
    if sure is None:
        return [("How sure", "Not said: neither a 100-seed weight nor a count of the portion was given.")]
    of = f"by {', '.join(sorted(sure.samples))}" + (" together" if len(sure.samples) > 1 else "")
    return [
        ("How sure", f"{sure.says}, {of}"),
        ("Likely range", f"{sure.low_pct} to {sure.high_pct} % {sure.words} (95 in 100, picking alone)"),
        *([("Portions", agreed)] if (agreed := agreement(grades, sure.words)) else []),
    ]


def _test_rows(tests: list[Tested]) -> Rows:
    if not tests:
        return []
    valid = newest_valid(tests)
    rows: Rows = []
    if tests[0].needs_retest:
        broken = tests[0]
        says = f"{broken.number} spread {broken.result.spread}, allowed {broken.result.allowed}: test again"
        rows.append(("Repeat", says))
    if valid is None:
        return rows
    result, interval, chance = valid.result, valid.interval, valid.chance_at_least()
    rows.append(("Germination", f"{result.mean_pct} %, {valid.number} of {valid.on}"))
    low, high = (half_up(Decimal(str(end * 100)), 1) for end in (interval.low, interval.high))
    rows.append(("Likely range", f"{low} to {high} % (95 in 100)"))
    verdict = ", too near to call" if is_too_near_to_call(chance) else ""
    rows.append((f"At least {THRESHOLD_PCT} %", f"{chance_text(chance)} chance{verdict}"))
    allowed = "no row in the table" if result.allowed is None else f"{result.allowed} allowed"
    rows.append(("Spread of replicates", f"{result.spread}, {allowed} ({result.source})"))
    return rows


def _tested_sampling(tests: list[Tested], grades: list[Graded], station: Station) -> Rows:
    """How the lot was sampled before its newest test: by the newest graded sample of that day or earlier."""
    if not tests:
        return []
    drawn = (each.sample for each in grades if day_of(each.sample.operation, station) <= tests[0].on)
    sample = next(drawn, None)
    says = f"{sampling_line(sample)} (sample {sample.number})" if sample else "not written down with the test"
    return [("Sampling", says)]


def _forecast_rows(lot: Lot) -> Rows:
    forecast = forecast_of(lot)
    return [] if forecast is None else [("Forecast from its sources", f"{half_up(forecast, 1)} %")]
