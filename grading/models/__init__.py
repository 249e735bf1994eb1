"""Tables of grading: what the bench and the germination room found."""

from grading.models.bench import Portion, Sample
from grading.models.cards import CardJudgement
from grading.models.measurements import ColourReading, SeedTest, SeedWeight, SizeCurve
from grading.models.regrades import RegradePlan

__all__ = [
    "CardJudgement",
    "ColourReading",
    "Portion",
    "RegradePlan",
    "Sample",
    "SeedTest",
    "SeedWeight",
    "SizeCurve",
]
