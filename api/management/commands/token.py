"""`manage.py token USER --scopes read,write [--days N] [--device CODE]`: make a key for a program or device."""

from argparse import ArgumentParser
from datetime import UTC, datetime
from typing import Any

from django.contrib.auth.models import User

from api.device_keys import SCOPE
from api.readings.devices import device_named
from api.tokens import make_token
from inventory.management.door import DONE, Door, WhoIsIt, the_station


class Command(Door):
    """Makes a key; its secret is shown once, as the last line."""

    help = "Make a key for a program or device. The secret is printed once, as the last line, and kept nowhere."

    def take(self, parser: ArgumentParser) -> None:
        """Take account, scopes and days."""
        parser.add_argument("user", help="the account in whose name the program acts")
        parser.add_argument("--scopes", help="read (also without it), write, or parts as lots:read, with commas")
        parser.add_argument("--device", default="", help="the device whose readings it sends, and nothing else")
        parser.add_argument("--name", default="", help="the program or device that will hold it")
        parser.add_argument("--days", type=int, help="how long it lasts; without it, until it is deleted")

    def answer(self, options: dict[str, Any]) -> int:
        """Make the key and print its secret."""
        user = User.objects.filter(username=options["user"]).first()
        if user is None:
            raise WhoIsIt(options["user"], "Name an account that is set up here.")
        station = the_station(options) if options["station"] or options["device"] else None
        device = device_named(options["device"], station) if station and options["device"] else None
        typed = options["scopes"] if options["scopes"] is not None else "" if device else "read"
        scopes = [scope.strip() for scope in typed.split(",") if scope.strip()]
        secret = make_token(
            user,
            scopes=scopes,
            days=options["days"],
            now=datetime.now(UTC),
            name=options["name"],
            station=station,
            device=device,
        )
        if options["json"]:
            told = {"device": device.code, "scopes": [SCOPE]} if device else {"scopes": scopes}
            self.say_json({"user": user.get_username(), **told, "days": options["days"], "secret": secret})
        else:
            self.say("Keep this secret; it is not shown again:", secret)
        return DONE
