"""What stands beside the demo's books where programs and devices work with it, so that their pages are seen filled."""

from datetime import UTC, datetime

from django.contrib.auth.models import User

from api.jobs.asking import ask_job
from api.jobs.models import DONE, FAILED, STATES, Job
from api.readings.devices import DeviceWords, enter_device
from api.readings.keeping import ReadingWords, keep_reading
from api.webhooks.models import STATES as DELIVERED_OR_NOT
from api.webhooks.models import Webhook
from api.webhooks.telling import trial_message
from inventory.models import Station

_LONG = "https://example.org/told/of/everything/that/happens/at/the/station/and-a-long-name-behind-it"

_SENT = (
    ("floor-scale-2", "  842.0 kg"),
    ("floor-scale-2", "US,GS,+ 843.0 kg"),
    ("meter-that-nobody-entered", "16.2 %"),
)


def connected() -> None:
    """Enter a scale with texts that are read, not read and kept aside, webhooks with messages, jobs in every state."""
    station, by, now = Station.objects.get(), User.objects.get(username="records"), datetime.now(UTC)
    words = DeviceWords(code="floor-scale-2", driver="scale", name="Floor scale 2", unit="kg")
    enter_device(words, station=station, by=by, now=now)
    for number, (device, raw) in enumerate(
        (
            ("floor-scale-2", "  842.0 kg"),
            ("floor-scale-2", "US,GS,+ 843.0 kg"),
            ("meter-that-nobody-entered", "16.2 %"),
        )
    ):
        sent = ReadingWords(device_id=device, reading_id=f"{number:06}", taken_at=now.isoformat(), raw=raw)
        keep_reading(sent, None, station=station, by=by, now=now)
    for name, is_on in (("stock board", True), ("buyer", False)):
        hook = Webhook.objects.create(
            station=station, by=by, name=name, url=_LONG, secret="s", seq=0, active=True, made_at=now,
            says="" if is_on else "It took nothing for 3 days.",
        )  # fmt: skip
        for state in DELIVERED_OR_NOT:
            message = trial_message(hook, now)
            type(message).objects.filter(pk=message.pk).update(state=state, tries=2, says="It answered 204.")
        Webhook.objects.filter(pk=hook.pk).update(active=is_on)
    for state in STATES:
        job = ask_job("export", {"list": "lots"}, station=station, by=by, now=now)
        file = {"file_name": "lots.csv"} if state == DONE else {}
        Job.objects.filter(pk=job.pk).update(state=state, says="It ended." if state in (DONE, FAILED) else "", **file)
