"""How colours are worked out, step by step, with their numbers."""

from collections.abc import Sequence

from grading.queries.colours import LotColour
from grading.stats.colour import CIE15, Conditions, Lab, MeanColour
from grading.stats.colour_difference import CIE76, CIE94, SHARMA, WEIGHTS, cie76, cie94, ciede2000
from grading.stats.colour_past import AgainstPast
from grading.stats.colour_space import BRADFORD_SOURCE, E308, IEC, SCREEN_WHITE, WHITES, Swatch, adapted, xyz_of
from inventory.rules.working import Step

PLACES = 4
_MEAN_OF = "mean by components; hues have no mean (ASTM E1345, from memory)"


def rounded(value: float | None) -> float | None:
    """Round a statistic for show."""
    return None if value is None else round(value, PLACES)


def numbers(lab: Lab) -> dict[str, float | None]:
    """The three components by name."""
    return {"lightness": rounded(lab.lightness), "a": rounded(lab.a), "b": rounded(lab.b)}


def mean_step(readings: Sequence[Lab], mean: MeanColour) -> Step:
    """Say the mean of readings."""
    if mean.n == 1:
        return Step("mean", f"one reading: {mean.estimate.says}", source=_MEAN_OF)
    sums = [
        f"{name} ({' + '.join(f'{getattr(each, axis):g}' for each in readings)}) / {mean.n} = "
        f"{getattr(mean.estimate, axis):.4f}"
        for name, axis in (("L*", "lightness"), ("a*", "a"), ("b*", "b"))
    ]
    return Step("mean", "; ".join(sums), basis=f"{mean.n} readings", source=_MEAN_OF)


def chroma_steps(lab: Lab) -> tuple[Step, ...]:
    """Say chroma and hue."""
    chroma = Step("chroma", f"√(({lab.a:.4f})² + ({lab.b:.4f})²) = {lab.chroma:.4f}", source=CIE15)
    if lab.hue is None:
        return chroma, Step("hue", f"none: a chroma of {lab.chroma:.4f} reads 0.00, a grey", source="ours, no source")
    return chroma, Step("hue", f"angle of (a* {lab.a:.4f}, b* {lab.b:.4f}) = {lab.hue:.2f}°", source=CIE15)


def swatch_step(lab: Lab, conditions: Conditions, shown: Swatch) -> Step:
    """Say how a screen's colour was found."""
    white = WHITES[conditions.illuminant, conditions.observer]
    xyz = xyz_of(lab, white)
    way = f"XYZ {_three(xyz)} under the white {_three(white)}"
    if shown.adapted_from:
        way += f"; by Bradford to D65, 2°: {_three(adapted(xyz, white, SCREEN_WHITE))}"
    red, green, blue = (f"{part:.4f}" for part in shown.wanted)
    clip = "" if shown.is_in_gamut else f", clipped by {shown.clipped:.4f}"
    sources = [E308, *([BRADFORD_SOURCE] if shown.adapted_from else []), IEC]
    return Step(
        "swatch", f"{way}; red {red}, green {green}, blue {blue}{clip} = {shown.code}", rounding="whole steps of 255",
        source="; ".join(sources),
    )  # fmt: skip


def difference_steps(reference: Lab, sample: Lab, weights: str) -> tuple[Step, ...]:
    """Say three distances; the reference stands first."""
    one, w = ciede2000(reference, sample), WEIGHTS[weights]
    l_, a, b = (getattr(sample, axis) - getattr(reference, axis) for axis in ("lightness", "a", "b"))
    c = sample.chroma - reference.chroma
    s_c, s_h = 1 + w.k_1 * reference.chroma, 1 + w.k_2 * reference.chroma
    h = max(0.0, a**2 + b**2 - c**2) ** 0.5
    return (
        Step("ΔE by CIE76", f"√(({l_:.4f})² + ({a:.4f})² + ({b:.4f})²) = {cie76(reference, sample):.4f}", source=CIE76),
        Step(
            "ΔE by CIE94",
            f"√(({l_:.4f} / {w.k_l:g})² + ({c:.4f} / {s_c:.4f})² + ({h:.4f} / {s_h:.4f})²) = "
            f"{cie94(reference, sample, w):.4f}",
            basis=f"the reference's chroma, weights for {weights} (k_L {w.k_l:g}, K1 {w.k_1}, K2 {w.k_2})",
            source=CIE94,
        ),
        Step(
            "ΔE by CIEDE2000",
            f"ΔL' {one.d_l:.4f} / {one.s_l:.4f}, ΔC' {one.d_c:.4f} / {one.s_c:.4f}, ΔH' {one.d_h:.4f} / {one.s_h:.4f}, "
            f"R_T {one.r_t:.4f} (G {one.g:.4f}, mean hue {one.h_mean:.4f}°, T {one.t:.4f}) = {one.estimate:.4f}",
            basis="k_L = k_C = k_H = 1", source=SHARMA,
        ),
    )  # fmt: skip


def past_steps(found: LotColour, past: Sequence[LotColour], against: AgainstPast) -> tuple[Step, ...]:
    """Say how a lot was held against the other lots of its line."""
    lots = "; ".join(f"{each.lot} {each.lab.says}" for each in past)
    mean = Step(
        "the line's past", f"mean of {lots} = {against.past.estimate.says}", basis=found.conditions.says,
        source=_MEAN_OF,
    )  # fmt: skip
    return mean, *difference_steps(against.past.estimate, found.lab, "graphic arts")[2:]


def _three(values: Sequence[float]) -> str:
    return ", ".join(f"{value:.4f}".rstrip("0").rstrip(".") for value in values)
