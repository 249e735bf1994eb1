"""The second year: sowing, intake with two tags swapped, the line with its late tote, the blend and what left."""

from fixtures_demo.demo import NOW, Demo
from fixtures_demo.measures import measure
from fixtures_demo.season import (
    BLENDED_ON,
    BLOCKS_SOWN,
    DECIDED_ON,
    LATE_TOTE_ON,
    SHIPPED_ON,
    SOWN_ON,
    TAGS_CORRECTED_ON,
    TODAY,
    VERDICTS,
    trial_lots,
)  # fmt: skip
from fixtures_demo.tables import Row, table
from fixtures_demo.year_2024 import bag, making_of, weigh
from inventory.actions.additions import Addition, add_to_run
from inventory.actions.blending import Blend, Part, blend
from inventory.actions.correcting import correct_deliveries
from inventory.actions.deciding import Deciding, decide
from inventory.actions.noting import Noting, note_all
from inventory.actions.promising import Promising, promise
from inventory.actions.receiving import Delivery
from inventory.actions.shipping import Item, Shipping, ship
from inventory.actions.sowing import Sowing, sow_all

SCORED_ON = "2025-09-04"
# Plot -> standing and white mold as they were scored in the first rep, 1 to 9.
SCORES = {"HM25-T101": (2, 1), "HM25-T102": (1, 3), "HM25-T103": (4, 2), "HM25-T104": (2, 1)}
SWAPPED = ("25-0005-6", "25-0007-0")
WHY_SWAPPED = "The two bags had each other's tags: seed weight and size say so, and now the field weights agree."
SPILLED = "spilled at thresher?"
LEFT_OPEN = "left open: one tote is looked for"
SHED = "Tollhaven Growers' Shed"


def build(demo: Demo) -> None:
    """Build it, in the order in which the books were written."""
    demo.load("plots_2025", "plots")
    _sow(demo)
    weigh(demo, "2025")
    demo.load("intake_2025", "intake", _answers("intake", "lot", SWAPPED, "Gross kg", SPILLED))
    measure(demo, 2025)
    _swap_the_tags_back(demo)
    demo.load("runs_2025", "runs", _answers("runs", "run", ("R14",), "Clean kg", LEFT_OPEN))
    _add_the_late_tote(demo)
    demo.load("samples_2025", "samples")
    demo.load("germination_2025", "germination")
    _blend(demo)
    demo.load("samples_blend", "samples")
    demo.load("germination_blend", "germination")
    _decide(demo)
    bag(demo, next(row for row in table("bagging") if row["bagging"] == "K5"))
    _ship(demo)
    _promise(demo)
    _note_the_trial(demo)


def _answers(name: str, key: str, wanted: tuple[str, ...], heading: str, why: str) -> dict[tuple[int, str], str]:
    """Answer the question that each wanted row of the 2025 workbook asks; the first data row is 2."""
    rows = [row for row in table(name) if row["date"].startswith("2025")]
    return {(place + 2, heading): why for place, row in enumerate(rows) if row[key] in wanted}


def _sow(demo: Demo) -> None:
    blocks = [_block(demo, *sown) for sown in BLOCKS_SOWN]
    trials = [_trial(demo, row) for row in trial_lots(2024)]
    sowings = sorted([*trials, *blocks], key=lambda sowing: str(sowing.lot))
    sow_all(sowings, station=demo.station, by=demo.person("breeder"), now=NOW)


def _block(demo: Demo, block: str, lot: str, bags: str, kg: str) -> Sowing:
    at = demo.at("sowing", SOWN_ON, lot)
    put_back, into = ("5.0", 32) if lot == "24-0025-8" else (None, 0)
    return Sowing(lot=lot, plots=(block,), bags=bags, mass=kg, put_back=put_back, put_back_bag=into, at=at)


def _trial(demo: Demo, row: Row) -> Sowing:
    """Three plots of the line, a tenth of a kilogram each, a little more for the large pintos."""
    plots = [plot["plot"] for plot in table("plots") if plot["trial"] == "HM25-T" and plot["line"] == row["line"]]
    each = "0.12" if row["line"].startswith("QP") else "0.10"
    return Sowing(lot=row["lot"], plots=plots, parts=[each] * len(plots), at=demo.at("sowing", SOWN_ON, row["lot"]))


def _swap_the_tags_back(demo: Demo) -> None:
    """Records and breeder agree: one paired correction."""
    at = demo.at("correction", TAGS_CORRECTED_ON, SWAPPED[0])
    one, other = ({row["lot"]: row for row in table("intake")}[lot] for lot in SWAPPED)
    corrections = [
        (making_of(demo, one["lot"]), _delivery(one, other, at)),
        (making_of(demo, other["lot"]), _delivery(other, one, at)),
    ]
    by = demo.person("records")
    correct_deliveries(corrections, station=demo.station, by=by, at=at, now=NOW, reason=WHY_SWAPPED)


def _delivery(row: Row, tag: Row, at: object) -> Delivery:
    """A bag as it was weighed, with the other bag's tag."""
    return Delivery(
        plots=tag["plots"].split(), line=tag["line"], gross=row["gross"], tare=row["tare"], net=row["net"],
        moisture=row["moisture"], place=row["place"], at=at,
    )  # fmt: skip


def _add_the_late_tote(demo: Demo) -> None:
    addition = Addition(run="R14", taken_off={"throughs": "17.5"}, at=demo.at("late tote", LATE_TOTE_ON, "R14"))
    why = "a tote of throughs stood behind the scale"
    add_to_run(addition, station=demo.station, by=demo.person("line"), now=NOW, reason=why)


def _blend(demo: Demo) -> None:
    """What was left of the older lot, seventeen bags and the part bag, with six hundred kilograms of the newer."""
    parts = (Part(lot="24-0016-5", bags="7-24"), Part(lot="25-0014-5", loose="600.0"))
    at = demo.at("blending", BLENDED_ON, "X1")
    blended = Blend(parts=parts, out="1033.5", spilled="0.5", lot="25-0017-6", place="A-03", at=at)
    blend(blended, station=demo.station, by=demo.person("line"), now=NOW, reason="X1")


def _decide(demo: Demo) -> None:
    decisions = [
        Deciding(line=line, verdict=verdict, reason=why, at=demo.at("decision", DECIDED_ON, line))
        for line, (verdict, why) in VERDICTS.items()
    ]
    decide(sorted(decisions, key=lambda each: each.line), station=demo.station, by=demo.person("breeder"), now=NOW)


def _ship(demo: Demo) -> None:
    for code, lot, bags in (("S1", "24-0021-7", "2-21"), ("S2", "25-0017-6", "1-40")):
        at = demo.at("shipping", SHIPPED_ON[code], code)
        shipping = Shipping(code=code, recipient=SHED, items=(Item(lot=lot, bags=bags),), at=at)
        ship(shipping, station=demo.station, by=demo.person("intake"), now=NOW)


def _promise(demo: Demo) -> None:
    for lot, kg, recipient in (("25-0014-5", "600.0", "2026 increase blocks"), ("25-0018-4", "500.0", SHED)):
        promised = Promising(lot=lot, mass=kg, recipient=recipient, at=demo.at("promise", TODAY, lot))
        promise(promised, station=demo.station, by=demo.person("breeder"), now=NOW)


def _note_the_trial(demo: Demo) -> None:
    """The scores of the first plots, entered from the field book after all else."""
    notes = [
        Noting(plot=plot, variable=variable, value=score, at=SCORED_ON)
        for plot, scores in SCORES.items()
        for variable, score in zip(("standing", "white mold"), scores, strict=True)
    ]
    note_all(notes, station=demo.station, by=demo.person("breeder"), now=NOW)
