"""The last proof of a station's books, kept beside the database: a page shows it without reading all of them."""

import json
import os
import tempfile
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path

from django.conf import settings

from hilum.plugins.host import the_host
from inventory.models import ChainHead, Station
from inventory.queries.verifying import verify

MOST_SHOWN = 200
MOST_ACTS = 100_000  # read in about a minute; more are proved by the command, which nobody waits for in a browser


@dataclass(frozen=True)
class Proof:
    """What was found when a station's books were proved.

    Attributes:
        head: hash of the newest act that was read: whoever keeps it elsewhere can tell later edits.
        differences: the first of them, in sentences.
    """

    at: str
    by: str
    operations: int
    entries: int
    chain: str
    head: str
    found: int
    differences: Sequence[str]

    @property
    def is_whole(self) -> bool:
        """Nothing differs and the chain is whole."""
        return not self.found and self.chain == "whole"

    @property
    def moment(self) -> datetime:
        """When it was proved."""
        return datetime.fromisoformat(self.at)


def prove(station: Station, by: str, at: datetime) -> Proof:
    """Prove a station's books and all that plugins keep, and remember what was found.

    Args:
        by: account of whoever asked.
        at: the clock.
    """
    verdict = verify(station)
    found = [f"{one.where}: {one.says}" for one in the_host().check_records(station.code)]
    differences = [*verdict.differences, *found]
    head = ChainHead.objects.filter(station=station).values_list("hash", flat=True).first() or ""
    proof = Proof(
        at.isoformat(timespec="seconds"), by, verdict.operations, verdict.entries, verdict.chain, head,
        len(differences), differences[:MOST_SHOWN],
    )  # fmt: skip
    _keep(_file(station), json.dumps(asdict(proof)))
    return proof


def last_proof(station: Station) -> Proof | None:
    """Give what the last proof found; None where there was none, or its file is damaged."""
    try:
        return Proof(**json.loads(_file(station).read_text(encoding="utf-8")))
    except (OSError, ValueError, TypeError):
        return None


def acts_to_read(station: Station) -> int:
    """Say how many acts a proof would read (1 query)."""
    return ChainHead.objects.filter(station=station).values_list("seq", flat=True).first() or 0


def _file(station: Station) -> Path:
    return Path(settings.DATA_DIR) / "proofs" / f"{station.pk}.json"


def _keep(path: Path, text: str) -> None:
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=path.parent)
    with os.fdopen(handle, "w", encoding="utf-8") as file:
        file.write(text)
    Path(name).replace(path)
