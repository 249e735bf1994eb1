"""Moisture in masses: shrink, wet and dry basis, test weight."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from grading.queries.figures.figure import Answer, Figure
from grading.queries.figures.given import given
from inventory.models import Station
from inventory.rules.bushels import UNITS, from_kg_per_hl, kg_per_hl, step_of
from inventory.rules.gathering import Gathering
from inventory.rules.mass import MG_PER_UNIT, read_mass
from inventory.rules.moisture import dry_to_wet, read_moisture, wet_to_dry
from inventory.rules.reading import typed_text
from inventory.rules.rounding import half_up
from inventory.rules.shrink import Shrink
from inventory.rules.shrink import shrink as shrink_between
from inventory.rules.working import Step

BEANS_LB_A_BUSHEL = "Dry beans trade at 60 lb to the bushel (from memory, unverified)."
HANDLING_USUAL = "Handling loss of 0.22 to 1.71 % is reported, under 1 % called reasonable (citing Iowa State)."
BY_VOLUME = "By volume alone: official charts of other measures allow for packing, and none was found for beans."
# Canada Grain Regulations, schedule 3, beans: damp is over 18.0 % and there is no tough range.
DAMP_OVER = Decimal("18.0")
DAMP = "Over 18.0 % beans are Damp; there is no tough range for beans (Canadian grades of beans, moisture)."


@dataclass(frozen=True, kw_only=True)
class ShrinkAsked:
    """Two moistures on wet basis, and the mass that is dried."""

    before_pct: Any
    after_pct: Any
    mass: Any = ""
    unit: str = "kg"
    handling_pct: Any = "0"
    lb_per_bushel: Any = ""


@dataclass(frozen=True, kw_only=True)
class BasisAsked:
    """A moisture on one basis."""

    moisture_pct: Any
    basis: str = "wet"


@dataclass(frozen=True, kw_only=True)
class TestWeightAsked:
    """A test weight in one unit."""

    value: Any
    unit: str = "kg/hL"


def shrink(asked: ShrinkAsked, _station: Station | None = None) -> Answer:
    """Answer what drying takes off.

    Raises:
        Refused: a moisture outside 0 to 100, a mass without a unit.
    """
    words = Gathering()
    before, after = (_moisture(words, getattr(asked, name), name) for name in ("before_pct", "after_pct"))
    handling = words.number(asked.handling_pct, "handling_pct", unit="%", least=0, most=20, example="0.5")
    mass = (
        words.attempt(lambda: read_mass(asked.mass, unit=asked.unit, field="mass")) if _is_given(asked.mass) else None
    )
    bushel = words.number(asked.lb_per_bushel, "lb_per_bushel", unit="lb", least=1, most=100, needed=False)
    words.finish()
    found = shrink_between(given(before), given(after), given(handling))
    values: dict[str, Any] = {
        "water_shrink_pct": _text(found.water_pct, 4), "total_shrink_pct": _text(found.total_pct, 4),
        "factor_pct_per_point": None if found.factor is None else _text(found.factor, 4),
    }  # fmt: skip
    steps = list(found.working)
    says = [_shrink_says(found)]
    if mass is not None:
        left = Fraction(mass.amount) * found.left
        values |= {"left": _text(left, 3), "unit": mass.unit, **_bushels(left, mass.unit, bushel)}
        says.append(f"Of {mass.amount} {mass.unit} there are {half_up(left, 1):,} {mass.unit} left.")
        steps.append(_left_step(mass.amount, mass.unit, found))
    return Answer(values, tuple(says), tuple(steps), _shrink_notes(given(before), given(after), given(handling)))


def dry_basis(asked: BasisAsked, _station: Station | None = None) -> Answer:
    """Answer a moisture on the other basis.

    Raises:
        Refused: a moisture that cannot be.
    """
    words = Gathering()
    basis = words.word(asked.basis, "basis", ("wet", "dry"), "wet")
    most = 99 if basis == "wet" else 1000
    percent = words.number(asked.moisture_pct, "moisture_pct", unit="%", least=0, most=most, example="16")
    words.finish()
    percent = given(percent)
    wet = Fraction(percent) if basis == "wet" else dry_to_wet(percent)
    dry = wet_to_dry(percent) if basis == "wet" else Fraction(percent)
    other, sign, value = ("dry", "-", dry) if basis == "wet" else ("wet", "+", wet)
    formula = f"100 × {percent} / (100 {sign} {percent}) = {_text(value, 4)} %"
    says = f"{percent} % on {basis} basis is {_text(value, 2)} % on {other} basis."
    values = {"wet_basis_pct": _text(wet, 4), "dry_basis_pct": _text(dry, 4)}
    step = Step(f"{other} basis", formula, source="water per whole and water per dry matter: definition")
    return Answer(values, (says,), (step,), (DAMP,) if wet > DAMP_OVER else ())


def test_weight(asked: TestWeightAsked, _station: Station | None = None) -> Answer:
    """Answer a test weight in every unit.

    Raises:
        Refused: a number that no seed weighs, a unit we do not know.
    """
    words = Gathering()
    unit = words.word(asked.unit, "unit", UNITS, UNITS[0])
    value = words.number(asked.value, "value", unit=unit, least=1, most=1000, example="77.2")
    words.finish()
    value = given(value)
    metric = kg_per_hl(value, unit)
    values = {name: _text(from_kg_per_hl(metric, name), 4) for name in UNITS}
    shown = ", ".join(f"{_text(from_kg_per_hl(metric, name), 1)} {name}" for name in UNITS if name != unit)
    step = step_of(value, unit, values["kg/hL"])
    return Answer(values, (f"{value} {unit} are {shown}.",), (step,), (BY_VOLUME, BEANS_LB_A_BUSHEL))


def _moisture(words: Gathering, typed: Any, field: str) -> Decimal | None:
    if not _is_given(typed):
        return words.number(typed, field, example="16.2")
    read = words.attempt(lambda: read_moisture(typed, field=field))
    return None if read is None else read.percent


def _is_given(typed: Any) -> bool:
    return typed_text(typed).strip() != ""


def _left_step(amount: Decimal, unit: str, found: Shrink) -> Step:
    left = Fraction(amount) * found.left
    formula = f"{amount} {unit} × (1 - {_text(found.total_pct, 4)} / 100) = {_text(left, 3)} {unit}"
    return Step("left", formula, basis="first mass", source="definition of shrink")


def _bushels(left: Fraction, unit: str, lb_per_bushel: Decimal | None) -> dict[str, str]:
    if lb_per_bushel is None:
        return {}
    pounds = left * Fraction(MG_PER_UNIT[unit]) / Fraction(MG_PER_UNIT["lb"])
    return {"bushels": _text(pounds / Fraction(lb_per_bushel), 4)}


def _shrink_notes(before: Decimal, after: Decimal, handling: Decimal) -> tuple[str, ...]:
    notes = [HANDLING_USUAL] if handling else []
    if before > DAMP_OVER:
        notes.append(DAMP)
    if after > before:
        notes.append("The seed takes up water: it gains mass. Agree beforehand whether that is paid for.")
    return tuple(notes)


def _text(exact: Fraction, places: int) -> str:
    return str(half_up(exact, places))


def _shrink_says(found: Shrink) -> str:
    """Say what of the first mass goes, or what wetting adds to it."""
    total, water = found.total_pct, found.water_pct
    if water >= 0:
        return f"{_text(total, 2)} % of the first mass goes, {_text(water, 2)} % of it as water."
    lost = f"it loses {_text(total, 2)} %" if total >= 0 else f"it gains {_text(-total, 2)} %"
    return f"The seed takes up water: {_text(-water, 2)} % of the first mass; with handling {lost}."


FIGURES = (
    Figure(
        "shrink", "What drying takes off a mass, with handling loss, and what is left.", ShrinkAsked, shrink,
        {"before_pct": "18", "after_pct": "16", "mass": "1000", "unit": "kg", "handling_pct": "0.5"},
    ),
    Figure(
        "dry basis", "A moisture on wet basis in dry basis, or back.", BasisAsked, dry_basis, {"moisture_pct": "16"}
    ),
    Figure(
        "test weight", "A test weight in kg/hL, pounds to the American and imperial bushel, grams to half a litre.",
        TestWeightAsked, test_weight, {"value": "60", "unit": "lb/bu us"},
    ),
)  # fmt: skip
