"""Lists of what was measured, promised and decided: each row is an act's, and goes where the act is taken back."""

from api.v1.columns import Column, Kind
from api.v1.shelf import AT, BY, ID, LINE, LOT, NUMBER, Shelf, StandingRows
from grading.models import ColourReading, SeedWeight, SizeCurve
from inventory.models import Decision, FieldWeight, Measured, Moisture, Promise, Receipt, RunRecord, Site

MORE_SHELVES = (
    Shelf("runs", "run", "run", (
        Column("id", "operation__uid", Kind.UID, "of the act"),
        Column("run", "number", tells="its number", orders=True),
        NUMBER, AT, BY,
        Column("machines", "machines", tells="in the order of the line, joined with +"),
        Column("feed_lot", "feed_lot__number", tells="the lot that was fed"),
        Column("feed", "feed_mg", Kind.MASS, "what was fed", orders=True),
        Column("cleaned_out", "is_cleaned_out", Kind.YES, "pit, legs, screens and deck were cleaned out before"),
    ), StandingRows(RunRecord), searched=("run", "machines", "feed_lot")),
    Shelf("receipts", "receipt", "id", (
        ID, NUMBER, LOT, LINE, AT, BY,
        Column("gross", "gross_mg", Kind.MASS, "with its container", orders=True),
        Column("tare", "tare_mg", Kind.MASS, "of the container"),
        Column("net", "net_mg", Kind.MASS, "what was received", orders=True),
    ), StandingRows(Receipt), searched=("lot", "line")),
    Shelf("moistures", "moisture", "id", (
        ID, NUMBER, LOT, AT, BY,
        Column("wet_basis_pct", "wet_basis_pct", Kind.EXACT, "of the seed as it was, wet basis"),
        Column("method", "method", tells="meter or oven, where it was said"),
        Column("read_on", "basis", tells="dry where it was read on dry basis"),
        Column("temperature_c", "temperature_c", Kind.EXACT, "where it was said"),
    ), StandingRows(Moisture), searched=("lot",)),
    Shelf("promises", "promise", "id", (
        ID, NUMBER, LOT, LINE, AT, BY,
        Column("mass", "mg", Kind.MASS, "what is promised", orders=True),
        Column("recipient", "recipient", tells="to whom"),
        Column("until", "until", Kind.DAY, "how long it stands", is_empty_allowed=True),
    ), StandingRows(Promise), searched=("lot", "recipient")),
    Shelf("decisions", "decision", "id", (
        ID, NUMBER, AT, BY,
        Column("line", "line__name", tells="the line it is about"),
        Column("verdict", "verdict", tells="what was decided"),
        Column("reason", "operation__reason", tells="why"),
    ), StandingRows(Decision), searched=("line", "reason")),
    Shelf("field-weights", "field weight", "id", (
        ID, NUMBER, AT, BY,
        Column("plot", "plot__code", tells="its code"),
        Column("mass", "mg", Kind.MASS, "in the field", orders=True),
        Column("estimate", "is_estimate", Kind.YES, "it is expected, not weighed"),
    ), StandingRows(FieldWeight), searched=("plot",)),
    Shelf("sites", "site", "site", (
        ID, Column("site", "code", tells="its code", orders=True), Column("name", "name", tells="what people call it"),
    ), lambda station, _person: Site.objects.filter(station=station), searched=("site", "name")),
    Shelf("sizes", "size curve", "id", (
        ID, NUMBER, LOT, LINE, AT, BY,
        Column("screens", "screens", Kind.DATA, "pairs of screen and per cent, from the top"),
        Column("grams", "grams", Kind.DATA, "what stayed on each, where it was weighed"),
        Column("sieved_g", "sieved_g", Kind.EXACT, "what went onto the top screen; empty where it was not weighed"),
        Column("shape", "shape", tells="of all openings, where it was said"),
    ), StandingRows(SizeCurve), searched=("lot", "line")),
    Shelf("colours", "colour reading", "id", (
        ID, NUMBER, LOT, LINE, AT, BY,
        Column("lightness", "lightness", Kind.EXACT, "0 black to 100 white"),
        Column("a", "a", Kind.EXACT, "green to red"),
        Column("b", "b", Kind.EXACT, "blue to yellow"),
        Column("scale", "scale", tells="of the three numbers"),
        Column("illuminant", "illuminant", tells="the light"),
        Column("observer", "observer", tells="angle of the standard observer"),
        Column("instrument", "instrument", tells="where it was said"),
        Column("replicates", "replicates", Kind.DATA, "each reading, where there were several"),
    ), StandingRows(ColourReading), searched=("lot", "line")),
    Shelf("seed-weights", "seed weight", "id", (
        ID, NUMBER, LOT, LINE, AT, BY, Column("readings_g", "readings_g", Kind.DATA, "grams of 100 seeds each"),
    ), StandingRows(SeedWeight), searched=("lot", "line")),
    Shelf("measurements", "measurement", "id", (
        ID, NUMBER, LOT, LINE, AT, BY,
        Column("kind", "kind", tells="the method, as a plugin calls it", orders=True),
        Column("plugin", "plugin", tells="which brought the method; what it measured is read without it too",
               orders=True),
        Column("values", "typed", Kind.DATA, "name of each value and its exact text, or texts"),
        Column("results", "results", Kind.DATA, "name, exact value and unit of each result"),
    ), StandingRows(Measured), searched=("lot", "line", "kind")),
)  # fmt: skip
