"""What a portion says about a limit, in one of three words; the rule's own yes or no stands beside it, unmoved."""

from dataclasses import dataclass

from grading.stats.beta import chance_at_least, chance_within

DOUBT = 0.05  # ours, no source: one in twenty either way is "sure"
MEETS, FAILS, CANNOT_TELL = "meets", "fails", "sample cannot tell"


@dataclass(frozen=True, slots=True)
class AgainstLimit:
    """A count against a limit.

    Attributes:
        word: "meets", "fails" or "sample cannot tell", said of the lot.
        chance_within, chance_beyond: that the lot is at most the limit, or over it [1].
        reads_within: whether the portion itself is at most the limit, which is all that a rule asks.
    """

    word: str
    chance_within: float
    chance_beyond: float
    reads_within: bool


def against_limit(found: float, n: float, limit: float) -> AgainstLimit:
    """Say what a count says about a limit.

    Args:
        found: pieces found, 0 to n [1].
        n: pieces looked at, over 0 [1].
        limit: a share, 0 to 1 [1].

    Returns:
        Chances after Jeffreys' Beta(k + 1/2, n - k + 1/2). A portion that reads exactly at the limit is a toss of a
        coin, and gets the word for that.

    Raises:
        ValueError: a number outside its range.
    """
    beyond = chance_at_least(found, n, limit)
    word = MEETS if beyond < DOUBT else FAILS if beyond > 1 - DOUBT else CANNOT_TELL
    return AgainstLimit(word, chance_within(found, n, limit), beyond, found <= limit * n)
