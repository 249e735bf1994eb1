"""What is listed: each list on one shelf, with the rows of one station and their columns.

Rows come newest first by their primary key, which never changes and is indexed: the next page costs the same however
far one has read, and nothing is skipped or told twice while others go on booking.
"""

from django.contrib.auth.models import User
from django.db.models import BigIntegerField, Exists, OuterRef, QuerySet, Subquery, Sum, TextField, Value
from django.db.models.functions import Cast, Coalesce, Concat, NullIf

from api.v1.columns import Column, Kind
from api.v1.more_shelves import MORE_SHELVES
from api.v1.program_shelves import PROGRAM_SHELVES
from api.v1.seed_shelves import SEED_SHELVES
from api.v1.shelf import AT, BY, ID, LINE, LOT, Rows, Shelf, same_for_all
from grading.queries.blind import hidden_from
from grading.queries.finding import standing_portions, standing_samples, standing_tests
from inventory.models import (
    ActiveHold,
    Bag,
    Container,
    Cross,
    Entry,
    Line,
    Load,
    Operation,
    Place,
    Plot,
    SheetDraft,
    Shipment,
    Standing,
    Station,
    Stock,
)
from inventory.queries.notes import standing_notes

__all__ = ["BY_NAME", "SHELVES", "Rows", "Shelf"]


@same_for_all
def _lots(station: Station, _person: User) -> Rows:
    here = Stock.objects.filter(lot=OuterRef("lot_id")).order_by().values("lot")
    left = Coalesce(Subquery(here.annotate(sum=Sum("mg")).values("sum")), 0, output_field=BigIntegerField())
    held = Exists(ActiveHold.objects.filter(lot=OuterRef("lot_id")))
    return Standing.objects.filter(station=station, made_by__isnull=False).annotate(left_mg=left, is_held=held)


@same_for_all
def _bags(station: Station, _person: User) -> Rows:
    here = Stock.objects.filter(lot=OuterRef("lot_id"), bag_no=OuterRef("number"), mg__gt=0).order_by("-mg")
    return Bag.objects.filter(station=station).annotate(
        code=Concat("lot__number", Value("/"), Cast("number", TextField()), output_field=TextField()),
        mg=Coalesce(Subquery(here.values("mg")[:1]), 0, output_field=BigIntegerField()),
        place=Subquery(here.values("place__code")[:1]),
    )


def _stock(station: Station, _person: User) -> Rows:
    return Stock.objects.filter(station=station, mg__gt=0).annotate(bag=NullIf("bag_no", 0))


@same_for_all
def _operations(station: Station, _person: User) -> Rows:
    reversed_by = Exists(Operation.objects.filter(reverses=OuterRef("pk")))
    load = Subquery(_named_load(Load.objects.filter(pk=OuterRef("load_id"))).values("named"))
    return Operation.objects.filter(station=station).annotate(is_reversed=reversed_by, load_name=load)


@same_for_all
def _sheets(station: Station, _person: User) -> Rows:
    saved = Load.objects.filter(
        station=OuterRef("station"), sha256=OuterRef("sha256"), kind=OuterRef("kind"), unloaded_at__isnull=True
    )
    return SheetDraft.objects.filter(station=station).annotate(load_name=Subquery(_named_load(saved).values("named")))


@same_for_all
def _loads(station: Station, _person: User) -> Rows:
    return _named_load(Load.objects.filter(station=station))


def _named_load(loads: QuerySet[Load]) -> Rows:
    return loads.annotate(named=Concat(Value("L"), Cast("number", TextField()), output_field=TextField()))


@same_for_all
def _crosses(station: Station, _person: User) -> Rows:
    return Cross.objects.filter(station=station).annotate(
        mother=Coalesce("female__name", "female_cross__code"), father=Coalesce("male__name", "male_cross__code")
    )


def _plots(station: Station, _person: User) -> Rows:
    return Plot.objects.filter(station=station, taken_back=False)


def _samples(station: Station, person: User) -> Rows:
    return standing_samples(station).exclude(pk__in=hidden_from(station, person))


def _portions(station: Station, person: User) -> Rows:
    return standing_portions(station).exclude(sample__in=hidden_from(station, person))


def _notes(station: Station, person: User) -> Rows:
    return standing_notes(station).exclude(sample__in=hidden_from(station, person).values())


@same_for_all
def _shipments(station: Station, _person: User) -> Rows:
    out = Entry.objects.filter(operation=OuterRef("operation_id"), lot__isnull=False).order_by().values("operation")
    left = Coalesce(Subquery(out.annotate(sum=-Sum("mg")).values("sum")), 0, output_field=BigIntegerField())
    return Shipment.objects.filter(station=station, operation__reversed_by__isnull=True).annotate(mg=left)


SHELVES = (
    Shelf("lots", "lot", "lot", (
        Column("id", "lot__uid", Kind.UID, "never changes"),
        LOT,
        Column("line", "line__name", tells="null for a blend of several", is_empty_allowed=True),
        Column("class", "market_class__name", tells="market class", is_empty_allowed=True),
        Column("made_at", "made_at", Kind.INSTANT, "when it was received or came out of a run", orders=True),
        Column("crop_year", "crop_year", Kind.WHOLE, "year of its harvest", is_empty_allowed=True),
        Column("generation", "generation", Kind.WHOLE, "where it is one whole generation", is_empty_allowed=True),
        Column("opening", "opening_mg", Kind.MASS, "what it held when it was made", orders=True),
        Column("left", "left_mg", Kind.MASS, "what is left of it at all places"),
        Column("treated", "treated", Kind.YES, "it is no longer food or feed"),
        Column("hold", "is_held", Kind.YES, "nothing of it may leave or be sown"),
    ), _lots, searched=("lot", "line")),
    Shelf("bags", "bag", "bag", (
        Column("id", "uid", Kind.UID, "never changes"),
        Column("bag", "code", tells="lot and number, as on its label"),
        LOT, LINE,
        Column("number", "number", Kind.WHOLE, "counted within its lot", orders=True),
        Column("mass", "mg", Kind.MASS, "what is in it now"),
        Column("place", "place", tells="where it stands; null when it is empty", is_empty_allowed=True),
    ), _bags, searched=("bag", "line")),
    Shelf("stock", "stock row", "id", (
        ID,
        LOT, LINE,
        Column("class", "lot__standing__market_class__name", tells="market class", is_empty_allowed=True),
        Column("place", "place__code", tells="where it stands"),
        Column("bag", "bag", Kind.WHOLE, "number of the bag; null for loose seed", is_empty_allowed=True),
        Column("mass", "mg", Kind.MASS, "what is there"),
    ), _stock, searched=("lot", "line", "place")),
    Shelf("operations", "operation", "number", (
        Column("id", "uid", Kind.UID, "never changes"),
        Column("number", "seq", Kind.WHOLE, "its place in the station's chain", orders=True),
        Column("kind", "kind", tells="what was done; more kinds may come"),
        Column("at", "at", Kind.INSTANT, "when it happened", orders=True),
        Column("recorded_at", "recorded_at", Kind.INSTANT, "when it was written down", orders=True),
        Column("by", "by__username", tells="who entered it"),
        Column("reason", "reason", tells="why, where it was said"),
        Column("reverses", "reverses__seq", Kind.WHOLE, "number of the act it takes back", is_empty_allowed=True),
        Column("reversed", "is_reversed", Kind.YES, "it was taken back"),
        Column("load", "load_name", tells="the sheet it was saved from", is_empty_allowed=True),
        Column("hash", "hash", tells="its link of the chain"),
    ), _operations, searched=("reason", "by")),
    Shelf("sheets", "sheet", "id", (
        Column("id", "uid", Kind.UID, "never changes"),
        Column("file_name", "file_name", tells="of the file", orders=True),
        Column("kind", "kind", tells="what it lists; empty while that is not said"),
        Column("rows", "rows", Kind.WHOLE, "filled rows of its worksheet, headings too"),
        Column("sha256", "sha256", tells="of its bytes; it is named by this as well"),
        Column("by", "started_by__username", tells="who sent it"),
        Column("touched_at", "touched_at", Kind.INSTANT, "when it was last sent or answered"),
        Column("load", "load_name", tells="what it was saved as", is_empty_allowed=True),
    ), _sheets, searched=("file_name",)),
    Shelf("loads", "load", "load", (
        ID,
        Column("load", "named", tells="its name"),
        Column("kind", "kind", tells="what the sheet listed"),
        Column("file_name", "file_name", tells="of the sheet's file"),
        Column("sha256", "sha256", tells="of its bytes"),
        Column("rows", "rows", Kind.WHOLE, "records that were saved", orders=True),
        Column("by", "by__username", tells="who saved it"),
        Column("loaded_at", "loaded_at", Kind.INSTANT, "when it was saved", orders=True),
        Column("reversed_at", "unloaded_at", Kind.INSTANT, "when it was taken back", is_empty_allowed=True),
    ), _loads, searched=("load", "file_name")),
    Shelf("places", "place", "place", (
        ID,
        Column("place", "code", tells="its code", orders=True),
        Column("name", "name", tells="what people call it"),
    ), lambda station, _person: Place.objects.filter(station=station), searched=("place", "name")),
    Shelf("containers", "container", "container", (
        ID,
        Column("container", "code", tells="its code", orders=True),
        Column("kind", "kind", tells="what it is"),
        Column("tare", "tare_mg", Kind.MASS, "as it was last checked"),
        Column("checked_on", "checked_on", Kind.DAY, "when its tare was checked", is_empty_allowed=True),
    ), lambda station, _person: Container.objects.filter(station=station), searched=("container", "kind")),
    Shelf("lines", "line", "line", (
        ID,
        Column("line", "name", tells="its name now", orders=True),
        Column("class", "market_class__name", tells="market class", is_empty_allowed=True),
        Column("cross", "cross__code", tells="the cross it came from, where it is known", is_empty_allowed=True),
        Column("merged_into", "merged_into__name", tells="the line it turned out to be", is_empty_allowed=True),
    ), lambda station, _person: Line.objects.filter(station=station), searched=("line",)),
    Shelf("crosses", "cross", "cross", (
        ID,
        Column("cross", "code", tells="its code", orders=True),
        Column("female", "mother", tells="a line, or the cross whose plants were the mother"),
        Column("male", "father", tells="a line, or the cross whose plants were the father"),
    ), _crosses, searched=("cross", "female", "male")),
    Shelf("plots", "plot", "plot", (
        ID,
        Column("plot", "code", tells="its code", orders=True),
        Column("site", "site__code", tells="field or farm"),
        Column("season", "season", Kind.WHOLE, "year", orders=True),
        Column("line", "line__name", tells="what was sown"),
        Column("trial", "trial", tells="empty where it is of none"),
        Column("rep", "rep", Kind.WHOLE, "of its trial", is_empty_allowed=True),
        Column("position", "position", Kind.WHOLE, "in its rep", is_empty_allowed=True),
        Column("block", "is_block", Kind.YES, "an increase block"),
        Column("area_m2", "area_m2", Kind.EXACT, "square metres", is_empty_allowed=True),
        Column("sown_on", "sown_on", Kind.DAY, "day of sowing", is_empty_allowed=True),
    ), _plots, searched=("plot", "line", "trial")),
    Shelf("samples", "sample", "sample", (
        ID,
        Column("sample", "number", tells="its number", orders=True),
        LOT, AT, BY,
        Column("drawn", "drawn_mg", Kind.MASS, "0 where a file sample was taken out again", orders=True),
        Column("scheme", "scheme", tells="id of the sampling scheme"),
        Column("points_asked", "points_asked", Kind.WHOLE, "by the scheme"),
        Column("points_probed", "points_probed", Kind.WHOLE, "where it was said", is_empty_allowed=True),
        Column("file_sample_of", "file_sample_of__number", tells="the sample it was kept from", is_empty_allowed=True),
    ), _samples, searched=("sample", "lot")),
    Shelf("portions", "portion", "id", (
        ID,
        Column("sample", "sample__number", tells="the sample it is of", orders=True),
        Column("lot", "sample__lot__number", tells="the lot's number"),
        AT,
        Column("grader", "grader", tells="who picked it"),
        Column("class", "class_name", tells="market class it was graded as"),
        Column("rule_set", "rule_set", tells="id of the rule set"),
        Column("edition", "edition", tells="of the rule set"),
        Column("portion_g", "portion_g", Kind.EXACT, "grams worked"),
        Column("weights_g", "weights_g", Kind.DATA, "grams of each dish"),
        Column("counts", "counts", Kind.DATA, "pieces of each dish"),
        Column("moisture_pct", "moisture_pct", Kind.EXACT, "wet basis; empty where it was not read"),
    ), _portions),
    Shelf("seed-tests", "seed test", "test", (
        ID,
        Column("test", "number", tells="its number", orders=True),
        LOT, AT, BY,
        Column("normal", "normal", Kind.DATA, "normal seedlings of each replicate"),
        Column("seeds_each", "seeds_each", Kind.WHOLE, "seeds of a replicate"),
        Column("others", "others", Kind.DATA, "abnormal, hard, fresh, dead: counts of each replicate"),
        Column("drawn", "drawn_mg", Kind.MASS, "what was taken for it", orders=True),
    ), lambda station, _person: standing_tests(station), searched=("test", "lot")),
    Shelf("notes", "note", "id", (
        Column("id", "uid", Kind.UID, "never changes, also when the note is put right"),
        Column("plot", "plot__code", tells="the plot that was looked at", is_empty_allowed=True),
        Column("lot", "lot__number", tells="the lot that was looked at", is_empty_allowed=True),
        Column("sample", "sample", tells="the lot's sample that was looked at; empty for the lot itself"),
        Column("variable", "variable", tells="its id, of the crop ontology (CO_335:…) or our own (LOCAL:…)",
               orders=True),
        Column("value", "value", tells="on the variable's scale, as exact text"),
        Column("moisture_pct", "moisture_pct", Kind.EXACT, "at which the value stands, wet basis; empty for most"),
        Column("observer", "observer", tells="who saw it; empty where it was not said"),
        AT, BY,
    ), _notes),
    Shelf("holds", "hold", "id", (
        ID,
        LOT, LINE,
        Column("hold", "hold__seq", Kind.WHOLE, "number of the operation that laid it", orders=True),
        Column("reason", "hold__reason", tells="why"),
        Column("since", "hold__at", Kind.INSTANT, "when it was laid", orders=True),
        Column("by", "hold__by__username", tells="who laid it"),
    ), lambda station, _person: ActiveHold.objects.filter(station=station)),
    Shelf("shipments", "shipment", "shipment", (
        Column("id", "operation__uid", Kind.UID, "of the act; /api/v1/operations/{id} tells its lots and bags"),
        Column("shipment", "code", tells="its code", orders=True),
        Column("recipient", "recipient", tells="to whom"),
        Column("purpose", "purpose", tells="seed, food …"),
        AT, BY,
        Column("mass", "mg", Kind.MASS, "what left"),
    ), _shipments, searched=("shipment", "recipient")),
    *MORE_SHELVES,
    *SEED_SHELVES,
    *PROGRAM_SHELVES,
)  # fmt: skip
BY_NAME = {shelf.name: shelf for shelf in SHELVES}
