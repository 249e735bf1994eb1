"""The page Devices: balances and meters, what they sent letter by letter, and what was read in it."""

from collections.abc import Callable, Mapping
from datetime import UTC, datetime
from typing import Any
from uuid import UUID

from django.contrib.auth.models import User
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from api.readings.devices import DeviceOtherwise, DeviceWords, change_device, enter_device
from api.readings.drivers import drivers
from api.readings.looking import UNREAD_FOR, devices_shown, readings_shown
from api.readings.models import Device, Reading
from api.readings.parsing import read_again
from inventory.models import Station
from inventory.pages.acts import UNPROCESSABLE, person
from inventory.pages.areas import request_role
from inventory.pages.frame import station_here
from inventory.rules.mass import MG_PER_UNIT
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.reading import quoted, uid_in
from inventory.rules.roles import may

MOST_SHOWN = 30  # readings
# Names of control characters that devices put around what they send (ISO/IEC 646); others stand by their number.
_UNSEEN = {0x01: "SOH", 0x02: "STX", 0x03: "ETX", 0x04: "EOT", 0x09: "HT", 0x0A: "LF", 0x0D: "CR", 0x1B: "ESC"}
_WORDS = ("code", "name", "driver", "unit")


class NotListed(Mistake):
    """A device or reading that is not on the page."""

    code = "not_listed"

    def __init__(self) -> None:
        super().__init__("There is no such device or reading at this station. Load the page again.")


@require_http_methods(["GET", "HEAD", "POST"])
def devices(request: HttpRequest) -> HttpResponse:
    """List devices and what they sent; enter one, change it, end it, have a text read again."""
    station, by = station_here(request), person(request)
    context: dict[str, Any] = {"may": may(request_role(request), "device"), "typed": {"code": _asked(request, "code")}}
    if request.method == "POST":
        try:
            context["said"] = _done(request, station, by)
        except Refused as refused:
            typed = {name: request.POST.get(name, "") for name in _WORDS}
            context |= {"wrong": [_worded(one, typed) for one in refused.mistakes], "typed": typed}
    shown, unknown = devices_shown(station, datetime.now(UTC) - UNREAD_FOR)
    context |= {"devices": shown, "unknown": unknown, "drivers": drivers(station.code), "units": list(MG_PER_UNIT)}
    context |= _readings(request, station, {one.device.code: one.device for one in shown})
    return render(request, "api/devices.html", context, status=UNPROCESSABLE if "wrong" in context else 200)


def _asked(request: HttpRequest, name: str) -> str:
    return request.GET.get(name, "").replace("\0", "")


def _readings(request: HttpRequest, station: Station, known: Mapping[str, Device]) -> dict[str, Any]:
    """Give one page of readings, of one device where one is asked for, each with what is to be done about it."""
    device, is_unread = _asked(request, "of"), bool(_asked(request, "unread"))
    found = readings_shown(station, device=device, is_unread=is_unread, before=uid_in(_asked(request, "before")))
    page = list(found[: MOST_SHOWN + 1])
    last = page[MOST_SHOWN - 1].uid if len(page) > MOST_SHOWN else None
    rows = [_shown(one, known.get(one.device), drivers(station.code)) for one in page[:MOST_SHOWN]]
    return {"readings": rows, "of": device, "chosen": known.get(device), "unread_only": is_unread, "before": last}


def _shown(reading: Reading, device: Device | None, here: list[str]) -> dict[str, Any]:
    values = getattr(reading, "values_read", None)
    unread = getattr(reading, "unread", "") or ""
    return {
        "reading": reading, "raw": visible(reading.raw), "read": [_told(value) for value in values or ()],
        "unread": unread, "is_aside": values is None, "is_unknown": device is None,
        "is_ended": device is not None and device.ended_at is not None,
        "driver": device.driver if device is not None and device.driver not in here else "",
    }  # fmt: skip


def visible(raw: str) -> str:
    """Show signs that nobody sees by their names, so that a text stands as it was sent."""
    return "".join(f"‹{_UNSEEN.get(ord(sign), f'{ord(sign):02X}')}›" if ord(sign) < 0x20 else sign for sign in raw)


def _told(value: Mapping[str, Any]) -> str:
    """Say what was read: "gross 12.42 lb, 5.633617 kg"; "moisture 16.2 %"."""
    words = value.get("weighed_as") or ("" if value.get("quantity") == "mass" else value.get("quantity", ""))
    in_kg = f", {value['kg']} kg" if value.get("kg") and value.get("unit") != "kg" else ""
    return f"{words} {value.get('value', '')} {value.get('unit', '')}".strip() + in_kg


def _done(request: HttpRequest, station: Station, by: User) -> str:
    """Do what a button says, and say what came of it."""
    press = next((name for name in _PRESSES if request.POST.get(name)), "")
    return _PRESSES[press](request, station, by) if press else _entered(request, station, by)


def _entered(request: HttpRequest, station: Station, by: User) -> str:
    words = DeviceWords(**{name: request.POST.get(name, "").strip() for name in _WORDS})
    device, is_new = enter_device(words, station=station, by=by, now=datetime.now(UTC))
    says = gettext("%(name)s is entered. What it sent before is read.") if is_new else gettext(
        "%(name)s was entered already."
    )  # fmt: skip
    return says % {"name": device.name}


def _changed(request: HttpRequest, station: Station, by: User) -> str:
    name, driver, unit = (request.POST.get(name, "").strip() for name in _WORDS[1:])
    wanted = DeviceOtherwise(name=name, driver=driver, unit=unit)
    device = change_device(_device(request, "change", station), wanted, by=by, now=datetime.now(UTC))
    return gettext("%(name)s is changed. What was read before stays as it was read.") % {"name": device.name}


def _ended(request: HttpRequest, station: Station, by: User, *, is_end: bool) -> str:
    device = _device(request, "end" if is_end else "resume", station)
    change_device(device, DeviceOtherwise(ended=is_end), by=by, now=datetime.now(UTC))
    says = gettext("%(name)s is ended. Nothing more that it sends is read.") if is_end else gettext(
        "%(name)s is in use again. What it sent meanwhile is read."
    )  # fmt: skip
    return says % {"name": device.name}


def _read_again(request: HttpRequest, station: Station, by: User) -> str:
    uid = uid_in(request.POST["again"])
    reading = Reading.objects.filter(station=station, uid=uid).select_related("station").first() if uid else None
    if reading is None:
        raise Refused([NotListed()])
    if read_again(reading, by=by, now=datetime.now(UTC)):
        return gettext("It is read otherwise now. What was read before is kept.")
    return gettext("It is read as before.")


def _device(request: HttpRequest, press: str, station: Station) -> Device:
    uid: UUID | None = uid_in(request.POST[press])
    found = Device.objects.filter(station=station, uid=uid).select_related("station").first() if uid else None
    if found is None:
        raise Refused([NotListed()])
    return found


def _worded(mistake: Mistake, typed: Mapping[str, str]) -> Mistake:
    """Say for a page what is said otherwise to programs: they send another request, people press a button."""
    if mistake.code == "device_differs":
        says = f"{quoted(typed['code'])} is entered already, with other words. Open it in the list to change it, or "
        return Mistake(f"{says}give another device another code.", field="code")
    if mistake.code == "device_unknown":
        return Mistake("Nobody entered its device yet. Enter it below; what it sent is read then.")
    if mistake.code == "device_ended":
        return Mistake("Its device was ended. Open it in the list and take it up again; what it sent is read then.")
    return mistake


_PRESSES: Mapping[str, Callable[[HttpRequest, Station, User], str]] = {
    "change": _changed,
    "end": lambda request, station, by: _ended(request, station, by, is_end=True),
    "resume": lambda request, station, by: _ended(request, station, by, is_end=False),
    "again": _read_again,
}
