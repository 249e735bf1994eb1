"""What the plugin answers when the site asks."""

from collections.abc import Mapping, Sequence

from hilum.plugins import (
    ActAhead,
    ActDone,
    MeasurementKind,
    PageLink,
    Panel,
    PaperForm,
    PaperPart,
    PaperText,
    Veto,
    hookimpl,
)
from hilum.plugins.books import books
from soaking_test.method import KIND, NAME
from soaking_test.models import Heard


@hookimpl
def measurement_kinds() -> Sequence[MeasurementKind]:
    """Bring the soak."""
    return [KIND]


@hookimpl
def lot_facts(lot_numbers: Sequence[str], station: str) -> Mapping[str, Mapping[str, str]]:
    """Give each lot's newest soak."""
    found = books().measurements(station, NAME, lot_numbers)
    return {one.lot: {"hydration": f"{one.results[0].value} %"} for one in reversed(found)}


@hookimpl
def lot_panels(lot_number: str, station: str) -> Sequence[Panel]:
    """Show a lot's newest soak."""
    found = books().measurements(station, NAME, [lot_number])
    return [Panel("Soaking", tuple((each.name, f"{each.value} {each.unit}") for each in one.results)) for one in found]


@hookimpl
def paper_forms() -> Sequence[PaperForm]:
    """Write a lot's soaks down."""
    return [PaperForm("report", "Soaking report", _report)]


@hookimpl
def page_links() -> Sequence[PageLink]:
    """Name the page of all soaks."""
    return [PageLink("bench", "Soaking tests", "/x/soaking-test/")]


@hookimpl
def veto(acts: Sequence[ActAhead], station: str) -> Sequence[Veto]:
    """Let nothing of a hard-shelled lot be sown: under 150 % of its dry weight after a soak."""
    sown = {lot: index for index, act in enumerate(acts) if act.kind == "sow" for lot in act.lots}
    hard = {
        one.lot: one.results[0].value
        for one in (books().measurements(station, NAME, list(sown)) if sown else ())
        if one.results[0].value < 150
    }
    return [
        Veto(f"{lot} took up water to {found} % only; scarify it before it is sown.", sown[lot])
        for lot, found in hard.items()
    ]


@hookimpl
def after_commit(acts: Sequence[ActDone]) -> None:
    """Remember what was heard; the same act may be told twice."""
    for act in acts:
        Heard.objects.get_or_create(number=act.number)


def _report(lot: str, station: str, person: str) -> PaperText:
    rows = [(one.at[:10], one.person, f"{one.results[0].value}") for one in books().measurements(station, NAME, [lot])]
    table = PaperPart(heading="Soaks", columns=("day", "by", "coefficient [%]"), rows=tuple(rows))
    return PaperText(f"Soaking of {lot}", f"{station}, written for {person}", (table,))
