"""What grading says on a lot's line and page, and what it proves in its records: our own plugin of the site."""

from collections.abc import Mapping, Sequence

from django.utils.translation import gettext

from grading.importing.acts import OFFERS
from grading.importing.kinds import ALL
from grading.queries.at_bench import bench_waits, sample_found
from grading.queries.blend_ahead import blend_ahead
from grading.queries.checking import record_differences
from grading.queries.facts import facts_of_lots
from grading.queries.lot_questions import QUESTIONS
from grading.queries.panels import panels_at
from grading.queries.to_look_at import look_at_bench
from hilum.plugins import (
    ActOffer,
    ActSheetKind,
    Difference,
    Found,
    LookAt,
    LotQuestion,
    PageLink,
    Panel,
    Waiting,
    hookimpl,
)
from inventory.models import Station


@hookimpl
def lot_facts(lot_numbers: Sequence[str], station: str, person: str) -> Mapping[str, Mapping[str, str]]:
    """Give each lot's newest grade and its newest valid germination in short words."""
    return facts_of_lots(Station.objects.get(code=station), lot_numbers, person)


@hookimpl
def lot_panels(lot_number: str, station: str, person: str) -> Sequence[Panel]:
    """Show a lot's grade with what holds it back and how sure that is, and its germination."""
    return panels_at(station, lot_number, person)


@hookimpl
def lot_questions() -> Sequence[LotQuestion]:
    """Answer which lots lack a sample or a test, germinate badly, are held back, or look like another line."""
    return QUESTIONS


@hookimpl
def blend_forecast(parts: Sequence[tuple[str, int]], station: str, person: str) -> Sequence[Panel]:
    """Foretell a blend's germination and grade from its lots' tests and samples."""
    return blend_ahead(station, parts, person)


@hookimpl
def sheet_kinds() -> Sequence[ActSheetKind]:
    """Bring the sheets of samples and germination tests."""
    return [ActSheetKind(kind.name, kind.vocabulary.title, kind) for kind in ALL]


@hookimpl
def acts() -> Sequence[ActOffer]:
    """Offer the acts of the bench: samples, gradings, germination tests and measurements."""
    return OFFERS


@hookimpl
def find(typed: str, station: str) -> Found | None:
    """Find a sample by its tag, typed or scanned."""
    return sample_found(Station.objects.get(code=station), typed)


@hookimpl
def page_links() -> Sequence[PageLink]:
    """Name the pages of the bench."""
    return [
        PageLink("bench", gettext("Pan: work a sample"), "/bench/pan/", verb="grade"),
        PageLink("bench", gettext("Samples: what waits, what was graded"), "/bench/samples/"),
        PageLink(
            "bench", gettext("Tests: trays to count, seed weight, sizes, colour"), "/bench/tests/", verb="germination"
        ),
        PageLink("bench", gettext("Kept samples: where they stand"), "/bench/file-samples/"),
        PageLink("floor", gettext("Will cleaning help?"), "/bench/recleaning/", answers="recleaning"),
        PageLink(
            "floor", gettext("What to take of each lot for a grade"), "/bench/figures/blend-plan/", answers="blend plan"
        ),
        PageLink("bench", gettext("Figures: work one thing out, step by step"), "/bench/figures/"),
        PageLink("bench", gettext("Graders: who disagrees"), "/bench/graders/", answers="graders"),
        PageLink("bench", gettext("My tray: order and letters of the dishes"), "/bench/tray/"),
        PageLink("bench", gettext("Rules: limits in force, drafts, what they would change"), "/records/rules/"),
        PageLink("bench", gettext("Grade reports and sample tags"), "/bench/papers/", verb="label"),
    ]


@hookimpl
def waiting(station: str) -> Sequence[Waiting]:
    """Name the samples that wait for their pan."""
    return bench_waits(Station.objects.get(code=station))


@hookimpl
def look_at(station: str, person: str) -> Sequence[LookAt]:
    """Name lots without a sample, those that do not look like their line, and the watch before planting."""
    return look_at_bench(Station.objects.get(code=station), person)


@hookimpl
def check_records(station: str) -> Sequence[Difference]:
    """Find portions whose rule set is gone, and samples that say another mass than left their lot."""
    return record_differences(Station.objects.get(code=station))
