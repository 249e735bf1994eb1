"""Labels as plain rows, for printers and programs that lay them out by themselves."""

import csv
from collections.abc import Sequence
from dataclasses import fields
from io import StringIO

from inventory.papers.labels import SIZES, Label


def label_file(labels: Sequence[Label]) -> str:
    """Write labels as separated values, one a row, with a heading: kind, size in millimetres, then all texts.

    Signs that a spreadsheet would take for a formula are written behind a quote mark, as text.
    """
    names = list(dict.fromkeys(field.name for label in labels for field in fields(label)))
    stream = StringIO()
    writer = csv.DictWriter(stream, ["kind", "width_mm", "height_mm", *names])
    writer.writeheader()
    for label in labels:
        width, height = SIZES[type(label)]
        row = {field.name: _cell(getattr(label, field.name)) for field in fields(label)}
        writer.writerow({"kind": type(label).__name__, "width_mm": width, "height_mm": height, **row})
    return stream.getvalue()


def _cell(value: object) -> str:
    text = " | ".join(line for line in value if line) if isinstance(value, tuple) else str(value)
    return f"'{text}" if text[:1] in ("=", "+", "-", "@", "\t", "\r") else text
