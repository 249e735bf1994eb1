"""How sure a share by weight is, from the weights of the pieces: per cent by weight is not per cent by count.

Pieces of unequal weight tell less, or more, than as many equal ones: few heavy pieces decide a share by weight. Gy's
fundamental error says by how much; what it leaves is put as the number of equal pieces that would be as sure.
"""

import math
from dataclasses import dataclass

from grading.stats.beta import ShareInterval
from grading.stats.intervals import upper_limit, wilson_interval


@dataclass(frozen=True, slots=True)
class Pieces:
    """What single pieces weigh.

    Attributes:
        defect_g, sound_g: mean weight of a defective and of a sound piece, over 0 [g].
        defect_cv, sound_cv: standard deviation over mean of each, 0 or more [1].
    """

    defect_g: float
    sound_g: float
    defect_cv: float = 0.0
    sound_cv: float = 0.0


@dataclass(frozen=True, slots=True)
class ByWeight:
    """How sure a share by weight is.

    Attributes:
        interval: estimate and likely range; its n is the effective number of pieces.
        sd: standard deviation of the share from sample to sample [1]; None where nothing was found.
        pieces: pieces in the portion, as expected from its weight [1].
    """

    interval: ShareInterval
    sd: float | None
    pieces: float


@dataclass(frozen=True, slots=True)
class CountLimit:
    """What single heavy pieces allow to say: a count and an upper limit, no chance.

    Attributes:
        pieces: found [1].
        upper_pieces: upper limit of what a portion of this weight holds on average [1].
        upper_share: that many pieces of mean weight in the portion [1]; None where no piece was weighed.
        level: one-sided [1].
        next_pieces: upper limit of what a second portion of this weight holds [1].
    """

    pieces: int
    upper_pieces: float
    upper_share: float | None
    level: float
    next_pieces: int


def variance(share: float, portion_g: float, pieces: Pieces) -> float:
    """Give the variance of a share by weight from sample to sample.

    Args:
        share: of the weight that is defective, 0 to 1 [1].
        portion_g: weight of the portion, small beside the lot, over 0 [g].
        pieces: what they weigh.

    Returns:
        a(1-a)/M × [(1-a) m_d (1+CV_d²) + a m_s (1+CV_s²)] [1].

    Raises:
        ValueError: a number outside its range.

    Source: Gy's fundamental error, Σ w_i² (a_i - a)² / M² over the pieces expected (K. McCroan, "Gy's fundamental
        variance"; ITRC, Incremental Sampling Methodology ISM-1, 2012); written out for two kinds of piece by us.
    """
    return share * (1 - share) / equal_pieces(share, portion_g, pieces)


def equal_pieces(share: float, portion_g: float, pieces: Pieces) -> float:
    """Give the number of equal pieces that would be as sure: a(1-a) over the variance, also where the share is 0 [1].

    Raises:
        ValueError: a number outside its range.
    """
    _check(share, portion_g, pieces)
    defects = (1 - share) * pieces.defect_g * (1 + pieces.defect_cv**2)
    sound = share * pieces.sound_g * (1 + pieces.sound_cv**2)
    return portion_g / (defects + sound)


def by_weight(share: float, portion_g: float, pieces: Pieces, level: float = 0.95) -> ByWeight:
    """Give the likely range of a share by weight.

    Args:
        share: found by weight, 0 to 1 [1].
        portion_g: weight of the portion, over 0 [g].
        pieces: what they weigh.
        level: 0 to 1, both excluded [1].

    Returns:
        Wilson's range on the effective number of pieces. Where nothing was found it goes from 0 to the exact one-sided
        limit by count, as pieces of the defect's weight: never 0 ± 0.

    Raises:
        ValueError: a number outside its range.

    Source: variance after Gy (see `variance`); the range on the effective number is ours, no source.
    """
    n = equal_pieces(share, portion_g, pieces)
    expected = portion_g * ((1 - share) / pieces.sound_g + share / pieces.defect_g)
    if share == 0:
        upper = _share_by_weight(upper_limit(0, expected, level), pieces)
        method = "exact upper limit by count, as pieces of the defect's weight"
        return ByWeight(ShareInterval(0.0, 0.0, upper, n, level, method), None, expected)
    wilson = wilson_interval(min(share * n, n), n, level)
    method = "Wilson on the effective number of pieces"
    return ByWeight(
        ShareInterval(share, wilson.low, wilson.high, n, level, method),
        math.sqrt(variance(share, portion_g, pieces)), expected,
    )  # fmt: skip


def count_limit(pieces: int, portion_g: float, piece_g: float | None, level: float = 0.95) -> CountLimit:
    """Limit what single heavy pieces, such as stones, can amount to: by their count and mean weight, without a chance.

    Args:
        pieces: found in the portion, 0 or more.
        portion_g: its weight, over 0 [g].
        piece_g: mean weight of one, over 0 [g]; None if none was weighed.
        level: one-sided, 0 to 1, both excluded [1].

    Raises:
        ValueError: a number outside its range.

    Source: Garwood (1936) Biometrika 28:437-442 (exact limits of a Poisson mean); -ln(1 - level) where none was found.
    """
    if pieces < 0 or not portion_g > 0 or (piece_g is not None and not piece_g > 0) or not 0 < level < 1:
        raise ValueError(f"{pieces} pieces of {piece_g} g in {portion_g} g at a level of {level} cannot be.")
    upper = -math.log1p(-level)
    if pieces:
        from scipy.special import gammaincinv  # noqa: PLC0415 - a web process starts without scipy

        upper = float(gammaincinv(pieces + 1, level))
    share = None if piece_g is None else min(1.0, upper * piece_g / portion_g)
    return CountLimit(pieces, upper, share, level, next_limit(pieces, level))


def next_limit(pieces: int, level: float) -> int:
    """Limit what a second portion of the same weight holds, after so many pieces in the first [1].

    Args:
        pieces: found in the first, 0 or more.
        level: one-sided, 0 to 1, both excluded [1].

    Returns:
        The largest y with P(at most `pieces` of pieces + y, each as likely in either portion) over 1 - level.

    Source: Nelson, "Confidence intervals for the ratio of two Poisson means and Poisson predictor intervals", IEEE
        Trans. Reliability R-19 (1970) 42-49 (from memory).
    """
    from scipy.special import bdtr  # noqa: PLC0415 - a web process starts without scipy

    low, high = 0, 2 * pieces + 64
    while bdtr(pieces, pieces + high, 0.5) > 1 - level:
        low, high = high, 2 * high
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if bdtr(pieces, pieces + middle, 0.5) > 1 - level else (low, middle)
    return low


def _share_by_weight(share: float, pieces: Pieces) -> float:
    """Turn a share by count into one by weight."""
    defects = share * pieces.defect_g
    return defects / (defects + (1 - share) * pieces.sound_g)


def _check(share: float, portion_g: float, pieces: Pieces) -> None:
    if not 0 <= share <= 1 or not 0 < portion_g < math.inf:
        raise ValueError(f"A share of {share} in {portion_g} g cannot be.")
    if not (pieces.defect_g > 0 and pieces.sound_g > 0 and pieces.defect_cv >= 0 and pieces.sound_cv >= 0):
        raise ValueError("A piece weighs more than 0 g, and no coefficient of variation is below 0.")
