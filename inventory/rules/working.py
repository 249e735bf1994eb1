"""The working of a figure: what was computed from which numbers, so that anybody can do it again by hand."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a working.

    Attributes:
        gives: what the step gives: "splits".
        formula: with its numbers: "5.1 g / 310 g × 100 = 1.645161 %".
        basis: what it stands on: "cleaned weight"; "" where there is nothing to say.
        rounding: how it was rounded: "1.6, half up to 0.1"; "" where it was not.
        source: title, year, clause; or "common practice, no source", or "ours, no source".
    """

    gives: str
    formula: str
    basis: str = ""
    rounding: str = ""
    source: str = ""

    @property
    def says(self) -> str:
        """The step on one line."""
        more = [f"on {self.basis}" if self.basis else "", f"read as {self.rounding}" if self.rounding else ""]
        line = ", ".join(part for part in (f"{self.gives}: {self.formula}", *more) if part)
        return f"{line} [{self.source}]" if self.source else line

    @property
    def as_json(self) -> dict[str, str]:
        """The step as named texts."""
        return {
            "gives": self.gives, "formula": self.formula, "basis": self.basis, "rounding": self.rounding,
            "source": self.source,
        }  # fmt: skip
