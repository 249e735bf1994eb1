"""The grade report of a sample as a paper: portion, bases, factors on their posts, rules, sampling, who."""

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from typing import Any

from django.contrib.auth.models import User
from django.utils.translation import gettext

from grading.models import Portion
from grading.queries.behind import in_100
from grading.queries.editions import edition_of, own_editions
from grading.queries.finding import standing_portions
from grading.queries.grades import read_row, sample_answer
from grading.rules import portion as pan
from grading.rules.fit import basis_g
from grading.rules.rule_set import CLEANED, GROSS, RuleSet
from inventory.drawing.post import Judged, Post, posts
from inventory.models import Standing, Station
from inventory.papers.paper import Blanks, Facts, Heading, Judgement, Paper, Part, Table, Words
from inventory.queries.label_texts import scan_address
from inventory.queries.papers.common import foot
from inventory.queries.showing import shown_number
from inventory.queries.treated import caution_words, treatments_on, warning_words
from inventory.rules.label_codes import LabelKind, label_code
from inventory.rules.rounding import half_up

NOT_OFFICIAL = "In-house reading, not an official certificate."


def report_paper(station: Station, typed: str, address: str, person: User) -> tuple[str, Paper]:
    """Write a sample's grade report (about 15 queries).

    Args:
        typed: number of the sample.
        person: who asks; what a blind re-grade still waits for stays hidden.

    Returns:
        The sample's number, and the paper.

    Raises:
        Refused: there is no such sample, it is not graded, or hidden.
    """
    answer = sample_answer(station, typed, person=person)
    row = standing_portions(station).filter(sample__number=answer["sample"]).order_by("operation__seq").last()
    if row is None:
        raise AssertionError("a sample with an answer has a portion")
    digits = label_code(LabelKind.SAMPLE, row.sample_id)
    paper = Paper(
        title=gettext("Grade report %(sample)s") % {"sample": answer["sample"]},
        under=f"{station.name} · {gettext('lot %(lot)s') % {'lot': answer['lot']}}",
        parts=tuple(_parts(answer, row)),
        foot=foot(station),
        digits=digits,
        address=scan_address(address, digits),
    )
    return answer["sample"], paper


def _parts(answer: Mapping[str, Any], row: Portion) -> Iterable[Part]:
    standing = Standing.objects.select_related("line", "market_class").get(lot=row.sample.lot_id)
    yield Words(gettext(NOT_OFFICIAL), is_loud=True)
    if standing.treated:
        caution = caution_words(treatments_on([standing.lot_id]))
        yield Words(f"{warning_words()}.\n{caution}", is_loud=True)
    rules = edition_of(row.rule_set, row.edition, own_editions(row.station))
    yield Facts(tuple(_facts(answer, row, standing, rules)))
    if answer["limiting"]:
        yield Words(gettext("Held back by: %(what)s.") % {"what": "; ".join(_held(one) for one in answer["limiting"])})
    if drawn := _posts(answer["factors"]):
        yield Heading(gettext("Factors against their limits, the nearest first"))
        yield Judgement(tuple(drawn))
    yield Heading(gettext("Every factor"))
    yield _table(answer, row, rules)
    yield Heading(gettext("What must be said with it"))
    yield Words("\n".join(dict.fromkeys(answer["notes"])))
    yield Blanks((gettext("File sample kept at, until"), gettext("Graded by")))


def _facts(
    answer: Mapping[str, Any], row: Portion, standing: Standing, rules: RuleSet | None
) -> Iterable[tuple[str, str]]:  # fmt: skip
    yield gettext("Grade"), answer["printed"]
    yield gettext("Class"), f"{answer['class']} · {standing.line.name if standing.line else gettext('blend')}"
    yield gettext("Sample drawn"), answer["date"]
    yield gettext("Portion"), f"{shown_number(row.portion_g)} g"
    if row.gross_g:
        yield gettext("Uncleaned weight"), f"{shown_number(row.gross_g)} g"
    yield gettext("Graded by"), answer["grader"]
    if answer["file_sample_of"]:
        yield gettext("Re-grade of the file sample of"), answer["file_sample_of"]
    if answer["sampling"]:
        yield gettext("Sampling"), f"{answer['sampling']['says']} {answer['sampling']['source']}"
    yield gettext("Rule set"), gettext("%(id)s, edition %(edition)s, table %(table)s") % {
        "id": answer["rule_set"], "edition": answer["edition"], "table": answer["table"]
    }  # fmt: skip
    if rules and rules.in_force_from:
        yield gettext("In force from"), rules.in_force_from.isoformat()
    yield gettext("Source"), answer["source"]


def _held(one: Mapping[str, Any]) -> str:
    if one["read_pct"] is None:
        return str(one["words"])
    return f"{one['words']} {one['read_pct']}, {gettext('limit')} {one['limit']} ({one['kept_from']})"


def _posts(factors: Sequence[Mapping[str, Any]]) -> list[Post]:
    """Hold each factor that the best grade limits against it."""
    return posts(_judged(one) for one in factors if one["limits"] and one["read_pct"] is not None)


def _judged(one: Mapping[str, Any]) -> Judged:
    grade, limit = next((grade, Decimal(limit)) for grade, limit in one["limits"].items())
    read = Decimal(one["read_pct"])
    low, high = (Decimal(end) for end in one["interval"]) if one["interval"] else (None, None)
    gap = limit - read
    over = gettext("over %(grade)s by %(gap)s") % {"grade": grade, "gap": -gap}
    under = gettext("%(gap)s below %(grade)s") % {"grade": grade, "gap": gap}
    chance = f", {in_100(one['within'][grade])}" if one["within"] and grade in one["within"] else ""
    words = f"{over if gap < 0 else under}{chance}"
    return Judged(one["words"], read, limit, f"{shown_number(read)} %", words, low, high)


def _table(answer: Mapping[str, Any], row: Portion, rules: RuleSet | None) -> Table:
    grades = list(dict.fromkeys(grade for one in answer["factors"] for grade in one["limits"]))
    headings = (gettext("Factor"), gettext("Read"), gettext("Likely"), *grades, gettext("Per cent of"))
    portion = read_row(row)
    rows = tuple((*_row(one, grades), _basis(one, portion, rules)) for one in answer["factors"])
    return Table(headings, rows, frozenset(range(1, len(grades) + 3)))


def _row(one: Mapping[str, Any], grades: Sequence[str]) -> tuple[str, ...]:
    read = f"{shown_number(one['read_pct'])} %" if one["read_pct"] is not None else "–"
    likely = ""
    if one["interval"]:
        low, high = (shown_number(half_up(Decimal(end), 2)) for end in one["interval"])
        likely = f"{low}–{high}"
    limits = (shown_number(one["limits"][grade]) if grade in one["limits"] else "" for grade in grades)
    return one["words"], read, likely, *limits


def _basis(one: Mapping[str, Any], portion: pan.Portion, rules: RuleSet | None) -> str:
    """Say what a per cent stands on, with its grams."""
    words = {CLEANED: gettext("cleaned"), GROSS: gettext("uncleaned")}
    if rules is None or one["basis"] not in words or one["factor"] not in rules.factors:
        return words.get(one["basis"], str(one["basis"]))
    return f"{words[one['basis']]}, {shown_number(basis_g(rules, portion, one['factor']))} g"
