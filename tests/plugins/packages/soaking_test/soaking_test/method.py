"""The calculation."""

from collections.abc import Mapping
from decimal import Decimal

from hilum.plugins import MeasurementField, MeasurementFinding, MeasurementKind, Result, WorkedOut
from hilum.plugins.facts import MeasuredValue, Measurement
from soaking_test.models import Soak

NAME = "soaking_test"


def work_out(values: Mapping[str, MeasuredValue]) -> WorkedOut:
    """Reckon the hydration coefficient: soaked mass over dry mass, in per cent, to one decimal."""
    dry, wet = values["dry"], values["soaked"]
    if not isinstance(dry, Decimal) or not isinstance(wet, Decimal):
        raise TypeError("masses are numbers")
    coefficient = (wet / dry * 100).quantize(Decimal("0.1"))
    says = f"{wet} g of {dry} g is less than it weighed dry. Were the two weights swapped?"
    lighter = (MeasurementFinding("lighter", "soaked", "question", says),) if wet < dry else ()
    return WorkedOut((Result("hydration coefficient", coefficient, "%"),), lighter)


def keep(measurement: Measurement) -> None:
    """Write a row of the plugin's own beside the act."""
    Soak.objects.create(
        lot_id=measurement.keys["lot"],
        operation_id=measurement.keys["operation"],
        coefficient=measurement.results[0].value,
    )


KIND = MeasurementKind(
    NAME,
    "Soaking test",
    (
        MeasurementField("dry", "dry seed", unit="g", least=Decimal(1), most=Decimal(1000), example="100"),
        MeasurementField("soaked", "soaked seed", unit="g", most=Decimal(3000), example="205.4"),
    ),
    work_out,
    keep,
)
