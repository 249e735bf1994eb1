"""Masses: integer milligrams inside, decimals with a unit at every edge."""

from decimal import ROUND_HALF_UP, Decimal

MG_PER_G = 1_000
MG_PER_KG = 1_000_000
MG_PER_T = 1_000_000_000
# Exact by definition: International Yard and Pound Agreement (1959); 15 U.S.C. 205c note; Weights and Measures Act
# (Canada) R.S.C. 1985 c. W-6, Schedule II: 1 pound = 0.453 592 37 kilogram.
MG_PER_LB = Decimal("453592.37")


def to_mg(amount: Decimal, mg_per_unit: Decimal | int) -> int:
    """Convert once, half up, to the milligram.

    Args:
        amount: in the typed unit.
        mg_per_unit: milligrams in one such unit [mg].
    """
    return int((amount * mg_per_unit).quantize(Decimal(1), ROUND_HALF_UP))


def kg_text(mg: int) -> str:
    """Write milligrams as exact kilograms with at least one decimal: 587200000 -> "587.2"."""
    whole, rest = divmod(abs(mg), MG_PER_KG)
    decimals = f"{rest:06d}".rstrip("0") or "0"
    return f"{'-' if mg < 0 else ''}{whole}.{decimals}"


def kg_words(mg: int) -> str:
    """Write milligrams as people read them: 1030200000 -> "1,030.2"."""
    whole, decimals = kg_text(mg).split(".")
    return f"{int(whole):,}.{decimals}" if not whole.startswith("-0") else f"{whole}.{decimals}"
