"""A lot's grade and germination as the boxes of its page."""

from decimal import Decimal

from grading.queries.agreement import agreement
from grading.queries.behind import Sureness, held_back, how_sure
from grading.queries.blind import lots_hidden_from
from grading.queries.colour_panel import colour_panels
from grading.queries.finding import day_of
from grading.queries.germination import Tested, forecast_of, germinations_of, newest_valid, threshold_of
from grading.queries.grades import Graded, grades_of, pool
from grading.queries.posts import germination_dots, germination_post, grade_posts
from grading.queries.sampled import sampling_line
from grading.queries.seed_tests import Counted, counts_of, purity_of
from grading.queries.size_panel import size_panels
from grading.rules.germination import is_too_near_to_call, whole_months
from grading.rules.purity import LAW, WORDS
from grading.rules.rule_set import CLEANED, GROSS
from grading.stats.against_limit import Judgement
from grading.stats.beta import chance_text
from hilum.plugins import Panel, Use
from inventory.models import Lot, Station
from inventory.queries.today import today_at
from inventory.rules.reading import listed
from inventory.rules.rounding import half_up

HIDDEN = Panel("Grade", (("Grade", "hidden from graders until a blind re-grade is in the books"),))
Rows = list[tuple[str, str]]
BASE = {GROSS: "% of the uncleaned weight", CLEANED: "% of the cleaned weight"}


def panels_of_lot(station: Station, lot_number: str, person: str = "") -> list[Panel]:
    """Give the boxes of a lot: its grade and germination, and whatever else was measured of it.

    It costs 12 to 16 queries, up to 3 more for a person.

    Args:
        person: account that looks; what a blind re-grade still waits for is hidden from whoever might pick it.
    """
    return panels_at(station.code, lot_number, person)


def panels_at(code: str, lot_number: str, person: str = "") -> list[Panel]:
    """Give the boxes of a lot at a station that is named by its code."""
    lot = Lot.objects.filter(station__code=code, number=lot_number).select_related("station").first()
    if lot is None:
        return []
    station = lot.station
    grades = grades_of(station, [lot.pk]).get(lot.pk, [])
    tests = germinations_of(station, [lot.pk]).get(lot.pk, [])
    graded = _grade_or_why_not(station, grades, person)
    measured = [*size_panels(station, lot), *colour_panels(station, lot)]
    looks = [Panel("Like its line?", (), later=f"/bench/looks/{lot.number}/")] if measured else []
    tested = [_germination_panel(station, lot, tests, grades), *_seed_test_panels(station, lot)]
    return [graded, *tested, *looks, *measured]


def _grade_or_why_not(station: Station, grades: list[Graded], person: str) -> Panel:
    if not grades:
        return NOT_GRADED
    hidden = grades[0].sample.lot_id in lots_hidden_from(station, person)
    return HIDDEN if hidden else _grade_panel(station, grades)


NOT_GRADED = Panel(
    "Grade", (), says="No sample was graded yet.", uses=(Use("ship", "no result", "no sample was graded"),)
)


def _seed_test_panels(station: Station, lot: Lot) -> list[Panel]:
    """Purity, and each pathogen and off-type that was counted (4 queries)."""
    counts, analysed = counts_of(station, [lot.pk]).get(lot.pk, []), purity_of(station, lot.pk)
    rows: Rows = [(counted.name[:1].upper() + counted.name[1:], counted.says) for counted in counts]
    panels = [Panel("Health and variety", tuple(rows), uses=tuple(map(_use_by_count, counts)))] if rows else []
    if analysed is None:
        return panels
    day, found = analysed
    parts = [(WORDS[part].capitalize(), f"{percent} %") for part, percent in found.percent.items()]
    return [*panels, Panel("Purity", (*parts, ("Analysed", f"{day} ({LAW})")))]


def _use_by_count(counted: Counted) -> Use:
    is_over = counted.judged.judgement is Judgement.OVER
    return Use("sowing", "no", f"{counted.name} is over its limit") if is_over else Use("sowing", "yes")


def _germination_panel(station: Station, lot: Lot, tests: list[Tested], grades: list[Graded]) -> Panel:
    valid, threshold = newest_valid(tests), threshold_of(station) if tests else 0
    forecast = [] if valid else _forecast_rows(lot)
    rows = (*_test_rows(tests, threshold), *_tested_sampling(tests, grades, station), *forecast)
    if valid is None:
        says, why = _not_tested(tests)
        return Panel("Germination", rows, says=says, uses=(Use("sowing", "no result", why),))
    return Panel(
        "Germination", rows, says=_tested_says(valid, station), posts=(germination_post(valid, threshold),),
        replicates=germination_dots(valid, threshold), uses=(_use_by_germination(valid, threshold),),
    )  # fmt: skip


def _not_tested(tests: list[Tested]) -> tuple[str, str]:
    """What stands in place of a germination, as a sentence and as a reason."""
    if tests:
        says = f"No test counts yet: {tests[0].number} spread too wide and waits for its repeat."
        return says, "its germination test is to be repeated"
    return "No germination test yet.", "no germination test"


def _tested_says(test: Tested, station: Station) -> str:
    months = whole_months(test.on, today_at(station))
    age = f", {months} months old" if months > 0 else ""
    return f"{test.result.mean_pct} % ({test.number}, {test.on.day} {test.on:%b %Y}{age})."


def _use_by_germination(test: Tested, threshold: int) -> Use:
    if test.result.mean_pct < threshold:
        return Use("sowing", "no", f"germination {test.result.mean_pct} % is under {threshold} %")
    return Use("sowing", "yes")


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
    return Panel(
        "Grade", tuple(rows), says=_grade_says(grades), posts=grade_posts(newest), uses=(_use_by_grade(newest),)
    )


def _use_by_grade(graded: Graded) -> Use:
    if graded.outcome.qualifies_for:
        return Use("ship", "yes")
    return Use("ship", "no", f"it grades {graded.outcome.grade} by {graded.sample.number}")


def _grade_says(grades: list[Graded]) -> str:
    """The grade in a sentence: what holds it back, or how sure it is, by the newest portion and by all drawn apart."""
    result = grades[0].outcome
    alone, together = how_sure(grades[0]), _pooled(grades)
    parts = [f"{result.grade} ({result.rule_set.id})", *held_back(result)]
    if alone:
        parts.append(f"{alone.says} by {alone.samples[0]}")
    if together and len(together.samples) > 1:
        parts.append(f"{together.says} by {listed(sorted(together.samples), 'and')} together")
    return "; ".join(parts) + "."


def _pooled(grades: list[Graded]) -> Sureness | None:
    together = pool(grades)
    return how_sure(together) if together else None


def _sure_rows(grades: list[Graded]) -> Rows:
    sure = _pooled(grades)
    if sure is None:
        return [("How sure", "Not said: neither a 100-seed weight nor a count of the portion was given.")]
    of = f"by {', '.join(sorted(sure.samples))}" + (" together" if len(sure.samples) > 1 else "")
    return [
        ("How sure", f"{sure.says}, {of}"),
        ("Likely range", f"{sure.low_pct} to {sure.high_pct} % {sure.words} (95 in 100, picking alone)"),
        *([("Portions", agreed)] if (agreed := agreement(grades, sure.words)) else []),
    ]


def _test_rows(tests: list[Tested], threshold: int) -> Rows:
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
    result, interval, chance = valid.result, valid.interval, valid.chance_at_least(threshold)
    rows.append(("Germination", f"{result.mean_pct} %, {valid.number} of {valid.on}"))
    low, high = (half_up(Decimal(str(end * 100)), 1) for end in (interval.low, interval.high))
    rows.append(("Likely range", f"{low} to {high} % (95 in 100)"))
    verdict = ", too near to call" if is_too_near_to_call(chance) else ""
    rows.append((f"At least {threshold} %", f"{chance_text(chance)} chance{verdict}"))
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
