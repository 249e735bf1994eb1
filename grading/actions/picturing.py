"""Attach a photograph of the pan to its sample: hash, size and who, with the picture kept beside."""

import hashlib
from base64 import b64decode
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import User

from grading.actions.bench import Bench
from grading.models import PanPhoto, PhotoBytes
from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Typed
from inventory.actions.origin import entered
from inventory.actions.posting import post
from inventory.actions.reader import Reader
from inventory.models import Station


@dataclass(frozen=True, kw_only=True)
class Pictured:
    """A photograph of a sample's pan, decoded and small already.

    Args:
        content: the small JPEG, base64.
        width, height: pixels.
        file_name: as it was sent.
    """

    sample: Typed
    content: str
    width: int
    height: int
    file_name: str = ""
    at: Typed = None


@action("attach")
def attach_photo(
    pictured: Pictured, *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Attach a photograph to a sample; its bytes are kept once, however often it is attached.

    Raises:
        Refused: the sample is not known.
    """
    bench = Bench(Desk(station, now))
    reader = Reader(bench.desk, answers)
    at, sample = reader.when(pictured.at), bench.sample(reader, pictured.sample)
    content = b64decode(pictured.content)
    mark = hashlib.sha256(content).hexdigest()
    rows = [
        PanPhoto(
            station=station, sample=sample, sha256=mark, size=len(content), width=pictured.width,
            height=pictured.height, file_name=pictured.file_name,
        )
    ] if sample else []  # fmt: skip
    facts = {"sample": sample.number if sample else "", "sha256": mark, "size": len(content)}
    draft = entered(reader, facts, by=by, at=at, kind="attach", reason=reason, key=key, rows=rows)
    PhotoBytes.objects.get_or_create(sha256=mark, defaults={"content": content})
    return Booked((post(draft),))
