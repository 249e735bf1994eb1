"""What stands beside the books for programs: long work, addresses that are told, readings of devices."""

from django.contrib.auth.models import User

from api.models import Device, Job, Reading
from api.readings.parsing import with_newest
from api.v1.columns import Column, Kind
from api.v1.shelf import Rows, Shelf
from api.webhooks.finding import deliveries_seen, webhooks_seen
from inventory.models import Station


def _readings(station: Station, _person: User) -> Rows:
    return with_newest(Reading.objects.filter(station=station))


PROGRAM_SHELVES = (
    Shelf("jobs", "job", "id", (
        Column("id", "uid", Kind.UID, "never changes"),
        Column("kind", "kind", tells="what is done"),
        Column("asked", "asked", Kind.DATA, "with which words"),
        Column("state", "state", tells="waiting, working, done, failed or cancelled; more may come"),
        Column("percent", "percent", Kind.WHOLE, "how far it is"),
        Column("says", "says", tells="what came of it"),
        Column("made_at", "made_at", Kind.INSTANT, "when it was asked for", orders=True),
        Column("ended_at", "ended_at", Kind.INSTANT, "when it ended", is_empty_allowed=True),
    ), lambda station, person: Job.objects.filter(station=station, by=person)),
    Shelf("devices", "device", "device", (
        Column("id", "uid", Kind.UID, "never changes"),
        Column("device", "code", tells="its code, which it sends as device_id", orders=True),
        Column("name", "name", tells="what people call it"),
        Column("driver", "driver", tells="what reads it"),
        Column("unit", "unit", tells="of masses that name none; empty where they must"),
        Column("made_at", "made_at", Kind.INSTANT, "when it was entered", orders=True),
        Column("by", "by__username", tells="who entered it"),
        Column("ended_at", "ended_at", Kind.INSTANT, "nothing that it sent since is read", is_empty_allowed=True),
    ), lambda station, _person: Device.objects.filter(station=station), searched=("device", "name")),
    Shelf("readings", "reading", "id", (
        Column("id", "uid", Kind.UID, "never changes"),
        Column("device", "device", tells="device_id as it was sent"),
        Column("reading", "reading", tells="reading_id as it was sent"),
        Column("taken_at", "taken_at", Kind.INSTANT, "when the device took it", orders=True),
        Column("received_at", "received_at", Kind.INSTANT, "when it came", orders=True),
        Column("by", "by__username", tells="whose key sent it"),
        Column("kind", "kind", tells="what it is of, in the sender's words"),
        Column("raw", "raw", tells="letter by letter as it was sent"),
        Column("sent", "sent", Kind.DATA, "what the sender read in it itself"),
        Column("driver", "newest__driver", tells="what read it; null while it is kept aside", is_empty_allowed=True),
        Column("values", "newest__values", Kind.DATA, "what was read; null while it is kept aside",
               is_empty_allowed=True),
        Column("unread", "newest__unread", tells="why nothing was read; empty where it was", is_empty_allowed=True),
        Column("read_at", "newest__at", Kind.INSTANT, "when it was read", is_empty_allowed=True),
    ), _readings, searched=("device", "reading", "raw")),
    Shelf("webhooks", "webhook", "id", (
        Column("id", "uid", Kind.UID, "never changes"),
        Column("name", "name", tells="what people call it"),
        Column("url", "url", tells="where messages go"),
        Column("kinds", "kinds", Kind.DATA, "kinds of act; empty for all"),
        Column("active", "active", Kind.YES, "it is told"),
        Column("says", "says", tells="why it was turned off, where we did"),
        Column("seq", "seq", Kind.WHOLE, "the newest act that was looked at for it"),
        Column("failing_since", "failing_since", Kind.INSTANT, "it has taken nothing since", is_empty_allowed=True),
        Column("made_at", "made_at", Kind.INSTANT, "when it was added", orders=True),
        Column("by", "by__username", tells="who added it"),
    ), webhooks_seen),
    Shelf("deliveries", "delivery", "id", (
        Column("id", "uid", Kind.UID, "webhook-id is msg_ and this without its hyphens"),
        Column("webhook", "webhook__name", tells="to whom"),
        Column("seq", "seq", Kind.WHOLE, "number of the act; null for a test", is_empty_allowed=True),
        Column("state", "state", tells="waiting, delivered or given up"),
        Column("tries", "tries", Kind.WHOLE, "how often it was sent"),
        Column("due_at", "due_at", Kind.INSTANT, "when it is sent next, while it waits"),
        Column("status", "status", Kind.WHOLE, "answered last", is_empty_allowed=True),
        Column("says", "says", tells="what came of the last try"),
        Column("made_at", "made_at", Kind.INSTANT, "when it was queued", orders=True),
        Column("ended_at", "ended_at", Kind.INSTANT, "when it arrived or was given up", is_empty_allowed=True),
    ), deliveries_seen),
)  # fmt: skip
