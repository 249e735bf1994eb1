"""Lists of what was measured, promised and decided: each row is an act's, and goes where the act is taken back."""

from django.contrib.auth.models import User
from django.db.models import Model

from api.v1.columns import Column, Kind
from api.v1.shelf import AT, BY, ID, LINE, LOT, Rows, Shelf
from grading.models import ColourReading, SeedWeight, SizeCurve
from inventory.models import Decision, FieldWeight, Measured, Moisture, Promise, Receipt, RunRecord, Site, Station

_NUMBER = Column("operation", "operation__seq", Kind.WHOLE, "number of the act", orders=True)


class _Standing:
    """The rows of acts that were not taken back."""

    def __init__(self, model: type[Model]) -> None:
        self.model = model

    def __call__(self, station: Station, _person: User) -> Rows:
        return self.model._default_manager.filter(station=station, operation__reversed_by__isnull=True)


MORE_SHELVES = (
    Shelf("runs", "run", "run", (
        Column("id", "operation__uid", Kind.UID, "of the act"),
        Column("run", "number", tells="its number", orders=True),
        _NUMBER, AT, BY,
        Column("machines", "machines", tells="in the order of the line, joined with +"),
        Column("feed_lot", "feed_lot__number", tells="the lot that was fed"),
        Column("feed", "feed_mg", Kind.MASS, "what was fed", orders=True),
        Column("cleaned_out", "is_cleaned_out", Kind.YES, "pit, legs, screens and deck were cleaned out before"),
    ), _Standing(RunRecord), searched=("run", "machines", "feed_lot")),
    Shelf("receipts", "receipt", "id", (
        ID, _NUMBER, LOT, LINE, AT, BY,
        Column("gross", "gross_mg", Kind.MASS, "with its container", orders=True),
        Column("tare", "tare_mg", Kind.MASS, "of the container"),
        Column("net", "net_mg", Kind.MASS, "what was received", orders=True),
    ), _Standing(Receipt), searched=("lot", "line")),
    Shelf("moistures", "moisture", "id", (
        ID, _NUMBER, LOT, AT, BY,
        Column("wet_basis_pct", "wet_basis_pct", Kind.EXACT, "of the seed as it was, wet basis"),
        Column("method", "method", tells="meter or oven, where it was said"),
        Column("read_on", "basis", tells="dry where it was read on dry basis"),
        Column("temperature_c", "temperature_c", Kind.EXACT, "where it was said"),
    ), _Standing(Moisture), searched=("lot",)),
    Shelf("promises", "promise", "id", (
        ID, _NUMBER, LOT, LINE, AT, BY,
        Column("mass", "mg", Kind.MASS, "what is promised", orders=True),
        Column("recipient", "recipient", tells="to whom"),
        Column("until", "until", Kind.DAY, "how long it stands", is_empty_allowed=True),
    ), _Standing(Promise), searched=("lot", "recipient")),
    Shelf("decisions", "decision", "id", (
        ID, _NUMBER, AT, BY,
        Column("line", "line__name", tells="the line it is about"),
        Column("verdict", "verdict", tells="what was decided"),
        Column("reason", "operation__reason", tells="why"),
    ), _Standing(Decision), searched=("line", "reason")),
    Shelf("field-weights", "field weight", "id", (
        ID, _NUMBER, AT, BY,
        Column("plot", "plot__code", tells="its code"),
        Column("mass", "mg", Kind.MASS, "in the field", orders=True),
        Column("estimate", "is_estimate", Kind.YES, "it is expected, not weighed"),
    ), _Standing(FieldWeight), searched=("plot",)),
    Shelf("sites", "site", "site", (
        ID, Column("site", "code", tells="its code", orders=True), Column("name", "name", tells="what people call it"),
    ), lambda station, _person: Site.objects.filter(station=station), searched=("site", "name")),
    Shelf("sizes", "size curve", "id", (
        ID, _NUMBER, LOT, LINE, AT, BY,
        Column("screens", "screens", Kind.DATA, "pairs of screen and per cent, from the top"),
        Column("grams", "grams", Kind.DATA, "what stayed on each, where it was weighed"),
        Column("sieved_g", "sieved_g", Kind.EXACT, "what went onto the top screen; empty where it was not weighed"),
        Column("shape", "shape", tells="of all openings, where it was said"),
    ), _Standing(SizeCurve), searched=("lot", "line")),
    Shelf("colours", "colour reading", "id", (
        ID, _NUMBER, LOT, LINE, AT, BY,
        Column("lightness", "lightness", Kind.EXACT, "0 black to 100 white"),
        Column("a", "a", Kind.EXACT, "green to red"),
        Column("b", "b", Kind.EXACT, "blue to yellow"),
        Column("scale", "scale", tells="of the three numbers"),
        Column("illuminant", "illuminant", tells="the light"),
        Column("observer", "observer", tells="angle of the standard observer"),
        Column("instrument", "instrument", tells="where it was said"),
        Column("replicates", "replicates", Kind.DATA, "each reading, where there were several"),
    ), _Standing(ColourReading), searched=("lot", "line")),
    Shelf("seed-weights", "seed weight", "id", (
        ID, _NUMBER, LOT, LINE, AT, BY, Column("readings_g", "readings_g", Kind.DATA, "grams of 100 seeds each"),
    ), _Standing(SeedWeight), searched=("lot", "line")),
    Shelf("measurements", "measurement", "id", (
        ID, _NUMBER, LOT, LINE, AT, BY,
        Column("kind", "kind", tells="the method, as a plugin calls it"),
        Column("plugin", "plugin", tells="which brought the method; what it measured is read without it too"),
        Column("values", "typed", Kind.DATA, "name of each value and its exact text, or texts"),
        Column("results", "results", Kind.DATA, "name, exact value and unit of each result"),
    ), _Standing(Measured), searched=("lot", "line", "kind")),
)  # fmt: skip
