"""Field notes that stand: their own act was not taken back."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import Q, QuerySet

from inventory.models import FieldNote, Lot, Plot, Station
from inventory.queries.variables import variables_by_id
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import quoted, typed_text


class UnknownNote(Mistake):
    """An id that is no note's."""

    code = "unknown_note"

    def __init__(self, typed: str) -> None:
        super().__init__(
            f"{quoted(typed)} is the id of no note that stands here. Take the id from the list of notes.", field="note"
        )


@dataclass(frozen=True)
class Noted:
    """A note in words.

    Attributes:
        of: the plot, sample or lot.
        value: with its unit and the moisture it stands at.
    """

    of: str
    variable: str
    value: str
    at: datetime
    by: str


def standing_notes(station: Station) -> QuerySet[FieldNote]:
    """Give all notes of a station that were not taken back."""
    notes = FieldNote.objects.filter(station=station, operation__reversed_by__isnull=True)
    return notes.select_related("operation__by", "plot", "lot")


def find_note(station: Station, typed: object) -> FieldNote:
    """Find a note by its id (1 query).

    Raises:
        UnknownNote: there is none that stands.
    """
    text = typed_text(typed).strip()
    try:
        note = standing_notes(station).filter(uid=UUID(text)).first()
    except ValueError:
        note = None
    if note is None:
        raise UnknownNote(text)
    return note


def newest_note(of: Plot | Lot, variable: str) -> FieldNote | None:
    """Give the newest note of a variable that stands on a plot or lot itself (1 query)."""
    about = Q(plot=of) if isinstance(of, Plot) else Q(lot=of, sample="")
    return standing_notes(of.station).filter(about, variable=variable).order_by("-operation__seq").first()


def notes_in_words(of: Plot | Lot, *, most: int = 50) -> list[Noted]:
    """Tell the notes of a plot, or of a lot with its samples, newest first (1 query)."""
    about = Q(plot=of) if isinstance(of, Plot) else Q(lot=of)
    rows = standing_notes(of.station).filter(about).order_by("-operation__at", "-pk")[:most]
    return [
        Noted(
            str(row.plot or row.sample or row.lot),
            variables_by_id()[row.variable].name if row.variable in variables_by_id() else row.variable,
            value_in_words(row),
            row.operation.at,
            row.observer or row.operation.by.get_username(),
        )
        for row in rows
    ]


def value_in_words(note: FieldNote) -> str:
    """Say a note's value: "2,150 kg/ha at 16 %", "4: in between", "2024-07-12"."""
    variable = variables_by_id().get(note.variable)
    if variable is None:
        return note.value
    words = dict(variable.scale.categories).get(note.value)
    said = f"{note.value}: {words}" if words else f"{note.value} {variable.scale.unit}".strip()
    return f"{said} at {note.moisture_pct} % moisture" if note.moisture_pct else said


def notes_of_plot(station: Station, code: str) -> list[Noted]:
    """Tell the notes of a plot by its code (2 queries)."""
    plot = Plot.objects.filter(station=station, code=code, taken_back=False).first()
    return notes_in_words(plot) if plot else []
