"""What stands beside the books for programs: long work, addresses that are told, readings of devices."""

from api.jobs.models import Job
from api.v1.columns import Column, Kind
from api.v1.shelf import Shelf

PROGRAM_SHELVES = (
    Shelf("jobs", "job", "id", (
        Column("id", "uid", Kind.UID, "never changes"),
        Column("kind", "kind", tells="what is done"),
        Column("asked", "asked", Kind.DATA, "with which words"),
        Column("state", "state", tells="waiting, working, done, failed or cancelled; more may come"),
        Column("percent", "percent", Kind.WHOLE, "how far it is"),
        Column("says", "says", tells="what came of it"),
        Column("made_at", "made_at", Kind.INSTANT, "when it was asked for"),
        Column("ended_at", "ended_at", Kind.INSTANT, "when it ended", is_empty_allowed=True),
    ), lambda station, person: Job.objects.filter(station=station, by=person)),
)  # fmt: skip
