"""The one style sheet: its layers stand beside each other, since a rule inside another's layer loses to it unseen."""

from pathlib import Path

import hilum

SHEET = Path(hilum.__file__).parent / "static" / "hilum" / "site.css"


def test_every_layer_is_closed_before_the_next_begins() -> None:
    depth = 0
    for number, line in enumerate(SHEET.read_text(encoding="utf-8").splitlines(), 1):
        assert depth == 0 or not line.startswith("@layer"), f"line {number}: a layer inside another"
        depth += line.count("{") - line.count("}")
    assert depth == 0
