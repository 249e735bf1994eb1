"""What one benchmark says: our time beside a reference's, taken in the same run."""

import json
from dataclasses import dataclass


@dataclass(frozen=True)
class Result:
    """One comparison.

    Args:
        bench: its name.
        ours: what our way took, in `unit`.
        reference: what the reference took in the same run, in `unit`; above 0.
        unit: "ms", "s" …
    """

    bench: str
    ours: float
    reference: float
    unit: str = "ms"

    @property
    def ratio(self) -> float:
        """Ours over the reference: 1 is as quick as the reference, 2 takes twice as long."""
        return self.ours / self.reference

    def line(self) -> str:
        """Write the result as one JSON line; times to a microsecond, the ratio to three places."""
        said = {"bench": self.bench, "ours": round(self.ours, 3), "reference": round(self.reference, 3)}
        return json.dumps({**said, "ratio": round(self.ratio, 3), "unit": self.unit})
