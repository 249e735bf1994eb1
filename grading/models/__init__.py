"""Tables of grading: what the bench and the germination room found."""

from grading.models.bench import Portion, Sample
from grading.models.cards import CardJudgement
from grading.models.filing import FileSample, GerminationTray
from grading.models.manner import BenchManner
from grading.models.measurements import ColourReading, SeedTest, SeedWeight, SizeCurve
from grading.models.photos import PanPhoto, PhotoBytes
from grading.models.regrades import RegradePlan
from grading.models.rule_editions import RuleEdition, RulesDraft, RulesWithdrawn
from grading.models.seed_tests import HealthTest, PurityTest, SeedLimit, VarietyTest

__all__ = [
    "BenchManner",
    "CardJudgement",
    "ColourReading",
    "FileSample",
    "GerminationTray",
    "HealthTest",
    "PanPhoto",
    "PhotoBytes",
    "Portion",
    "PurityTest",
    "RegradePlan",
    "RuleEdition",
    "RulesDraft",
    "RulesWithdrawn",
    "Sample",
    "SeedLimit",
    "SeedTest",
    "SeedWeight",
    "SizeCurve",
    "VarietyTest",
]
