"""Keys that are bound to one device: they send its readings and read whose they are, whatever their account may do."""

from http import HTTPStatus

from rest_framework.request import Request

from api.models import Token
from api.unusable import Unusable
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import quoted

SCOPE = "readings:write"
_OPENS = {("GET", "api-me"), ("HEAD", "api-me"), ("POST", "api-readings")}  # method and name of the address


class BoundToDevice(Mistake):
    """A device's key at an address that is not for devices."""

    code = "bound_to_device"

    def __init__(self, device: str) -> None:
        super().__init__(
            f"This key is bound to the device {quoted(device)}: it sends its readings to /api/v1/readings and reads "
            "/api/v1/me, nothing else. Use another key for this."
        )


class OfAnotherDevice(Mistake):
    """A reading of another device than the one whose key sent it."""

    code = "of_another_device"

    def __init__(self, device: str, typed: str) -> None:
        super().__init__(
            f"This key is bound to the device {quoted(device)}, and device_id reads {quoted(typed[:60])}. Send it with "
            "that device's own key.",
            field="device_id",
        )


class NotForDevices(Unusable):
    """Answered where a device's key is used for more than its device."""

    status_code = HTTPStatus.FORBIDDEN


def must_be_for_devices(request: Request, token: Token) -> None:
    """Hold an address against a key that is bound to a device; any other key passes.

    Raises:
        NotForDevices: the address is not for devices.
    """
    if token.device is None:
        return
    match = request.resolver_match
    if (request.method, match.url_name if match else None) not in _OPENS:
        raise NotForDevices(BoundToDevice(token.device.code))


def must_be_its_own(token: Token, device_id: str) -> None:
    """Hold a reading against the key that sent it.

    Raises:
        NotForDevices: it is another device's.
    """
    if token.device is not None and token.device.code != device_id:
        raise NotForDevices(OfAnotherDevice(token.device.code, device_id))
