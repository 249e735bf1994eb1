"""Lists of what was done to seed, found in it and noted about it, and of the names that sheets and forms choose from.

What was found in a sample that waits for a blind re-grade is hidden from whoever might pick it, as the sample is.
"""

from django.contrib.auth.models import User

from api.v1.columns import Column, Kind
from api.v1.shelf import AT, BY, ID, LINE, LOT, NUMBER, Rows, Shelf, StandingRows
from grading.models import (
    CardJudgement,
    FileSample,
    GerminationTray,
    HealthTest,
    PanPhoto,
    PurityTest,
    SeedLimit,
    VarietyTest,
)
from grading.queries.blind import hidden_from
from inventory.models import (
    Feedback,
    Label,
    LineName,
    MarketClass,
    Plant,
    PlotStage,
    Pollination,
    Sender,
    Station,
    Treatment,
    WeatherDay,
)


class _OfSamples(StandingRows):
    """The rows of acts about samples, without the samples that are hidden from the account."""

    def __call__(self, station: Station, person: User) -> Rows:
        return super().__call__(station, person).exclude(sample__in=hidden_from(station, person))


_SAMPLE = Column("sample", "sample__number", tells="its number", orders=True)
_LOT_OF_SAMPLE = Column("lot", "sample__lot__number", tells="the lot it is of", orders=True)
_DRAWN = Column("drawn", "drawn_mg", Kind.MASS, "what was taken for it", orders=True)

SEED_SHELVES = (
    Shelf("treatments", "treatment", "id", (
        ID, NUMBER, LOT, LINE, AT, BY,
        Column("product", "product", tells="what was put on the seed"),
        Column("dose", "dose", tells="how much, as it was typed"),
        Column("caution", "caution", tells="the sentence of the product's own label"),
    ), StandingRows(Treatment), searched=("lot", "line", "product")),
    Shelf("pollinations", "pollination", "id", (
        ID, NUMBER, AT, BY,
        Column("cross", "cross__code", tells="its code", orders=True),
        Column("buds_tried", "buds_tried", Kind.WHOLE, "flowers pollinated", orders=True),
        Column("pods_set", "pods_set", Kind.WHOLE, "pods that came of them", orders=True),
        Column("seeds_taken", "seeds_taken", Kind.WHOLE, "seeds taken out of the pods", orders=True),
    ), StandingRows(Pollination), searched=("cross",)),
    Shelf("purity-tests", "purity test", "id", (
        ID, NUMBER, LOT, LINE, AT, BY,
        Column("working_g", "working_g", Kind.EXACT, "grams of the working sample"),
        Column("parts_g", "parts_g", Kind.DATA, "grams of each part; pure seed may be left out from 25 g"),
        _DRAWN,
    ), StandingRows(PurityTest), searched=("lot", "line")),
    Shelf("health-tests", "health test", "id", (
        ID, NUMBER, LOT, LINE, AT, BY,
        Column("pathogen", "pathogen", tells="what was looked for", orders=True),
        Column("method", "method", tells="how it was looked for"),
        Column("tested", "tested", Kind.WHOLE, "seeds that were tested", orders=True),
        Column("found", "found", Kind.WHOLE, "of them carried it", orders=True),
        _DRAWN,
    ), StandingRows(HealthTest), searched=("lot", "line", "pathogen")),
    Shelf("variety-tests", "variety test", "id", (
        ID, NUMBER, LOT, LINE, AT, BY,
        Column("counted", "counted", tells="what was looked at: plants, seedlings or seeds"),
        Column("looked_at", "looked_at", Kind.WHOLE, "how many", orders=True),
        Column("off_types", "off_types", Kind.WHOLE, "of them were off-types", orders=True),
        Column("described", "described", tells="what was off; empty where it was not said"),
        _DRAWN,
    ), StandingRows(VarietyTest), searched=("lot", "line")),
    Shelf("trays", "tray", "id", (
        ID, NUMBER, LOT, LINE, AT, BY,
        Column("count_on", "count_on", Kind.DAY, "when its seedlings are counted", orders=True),
    ), StandingRows(GerminationTray), searched=("lot",)),
    Shelf("file-samples", "event of a file sample", "id", (
        ID, NUMBER, _SAMPLE, _LOT_OF_SAMPLE, AT, BY,
        Column("event", "event", tells="kept, taken out or discarded"),
        Column("place", "place", tells="shelf, drawer, room; empty where it is gone"),
        Column("until", "until", Kind.DAY, "it is kept until this day", is_empty_allowed=True),
        Column("state", "state", tells="uncleaned or cleaned, where it was said"),
        Column("who", "who", tells="who took it out"),
    ), _OfSamples(FileSample), searched=("sample", "lot", "place")),
    Shelf("card-judgements", "judgement by a class card", "id", (
        ID, NUMBER, _SAMPLE, _LOT_OF_SAMPLE, AT, BY,
        Column("grader", "grader", tells="who looked"),
        Column("card", "card_id", tells="id of the class card", orders=True),
        Column("edition", "edition", tells="of the card"),
        Column("words", "words", Kind.DATA, "what was said of each thing looked at"),
        Column("measured", "measured", Kind.DATA, "what the books held of the lot then"),
    ), _OfSamples(CardJudgement), searched=("sample", "lot")),
    Shelf("photos", "photograph", "id", (
        ID, NUMBER, _SAMPLE, _LOT_OF_SAMPLE, AT, BY,
        Column("file_name", "file_name", tells="as it was sent"),
        Column("sha256", "sha256", tells="of the picture that is kept"),
        Column("size", "size", Kind.WHOLE, "bytes", orders=True),
        Column("width", "width", Kind.WHOLE, "pixels", orders=True),
        Column("height", "height", Kind.WHOLE, "pixels", orders=True),
    ), _OfSamples(PanPhoto), searched=("sample", "lot")),
    Shelf("seed-limits", "limit", "id", (
        ID, NUMBER, AT, BY,
        Column("name", "name", tells="a pathogen, off-types, or germination; its newest is in force", orders=True),
        Column("most_pct", "most_pct", Kind.EXACT, "empty where there is none"),
        Column("least_pct", "least_pct", Kind.EXACT, "only of a germination"),
    ), StandingRows(SeedLimit), searched=("name",)),
    Shelf("weather", "day of weather", "id", (
        ID, NUMBER, AT, BY,
        Column("site", "site__code", tells="field or farm", orders=True),
        Column("day", "day", Kind.DAY, "the day", orders=True),
        Column("low", "low", Kind.EXACT, "lowest temperature, in the unit that was read"),
        Column("high", "high", Kind.EXACT, "highest temperature"),
        Column("unit", "unit", tells="C or F"),
    ), StandingRows(WeatherDay), searched=("site",)),
    Shelf("plot-stages", "stage of a plot", "id", (
        ID, NUMBER, AT, BY,
        Column("plot", "plot__code", tells="its code", orders=True),
        Column("stage", "stage", tells="flowering or maturity; its newest day holds"),
        Column("day", "day", Kind.DAY, "when it was reached", orders=True),
    ), StandingRows(PlotStage), searched=("plot",)),
    Shelf("feedback", "feedback", "id", (
        ID, NUMBER, AT, BY,
        Column("shipment", "shipment", tells="its code; empty where it is about none"),
        Column("lot", "lot__number", tells="the lot it is about", is_empty_allowed=True),
        Column("line", "line__name", tells="the line it is about", is_empty_allowed=True),
        Column("who", "who", tells="who said it"),
        Column("said", "said", tells="in their words"),
    ), StandingRows(Feedback), searched=("shipment", "who", "said")),
    Shelf("labels", "label", "id", (
        ID, NUMBER, AT, BY,
        Column("what", "what", tells="what it stands on: lot, bag, sample, container, place"),
        Column("name", "name", tells="of the thing, as people type it", orders=True),
        Column("copy", "copy", Kind.WHOLE, "1 for the first print", orders=True),
        Column("trial_only", "trial_only", Kind.YES, "it says that the seed is for trial use only"),
    ), StandingRows(Label), searched=("name",)),
    Shelf("plants", "plant", "plant", (
        ID,
        Column("plant", "number", tells="its number", orders=True),
        Column("plot", "plot__code", tells="where it was picked", orders=True),
        Column("row", "is_row", Kind.YES, "a whole row, not one plant"),
    ), lambda station, _person: Plant.objects.filter(station=station), searched=("plant", "plot")),
    Shelf("senders", "delivery from outside", "id", (
        ID,
        Column("sender", "name", tells="who sent it", orders=True),
        Column("their_lot", "their_lot", tells="its number there", orders=True),
        Column("kind_and_variety", "kind_and_variety", tells="in the sender's words"),
        Column("shipped_on", "shipped_on", Kind.DAY, "where it was said", is_empty_allowed=True),
        Column("carrier", "carrier", tells="who brought it"),
    ), lambda station, _person: Sender.objects.filter(station=station), searched=("sender", "their_lot")),
    Shelf("classes", "market class", "id", (
        ID, Column("class", "name", tells="as people call it", orders=True),
    ), lambda station, _person: MarketClass.objects.filter(station=station), searched=("class",)),
    Shelf("line-names", "name of a line", "id", (
        ID,
        Column("name", "name", tells="a name it has or had", orders=True),
        Column("line", "line__name", tells="its name now", orders=True),
    ), lambda station, _person: LineName.objects.filter(station=station), searched=("name", "line")),
)  # fmt: skip
