"""`manage.py token USER --scopes read,write [--days N]`: make a key for a program."""

from argparse import ArgumentParser
from datetime import UTC, datetime
from typing import Any

from django.contrib.auth.models import User

from api.tokens import make_token
from inventory.management.door import DONE, Door, WhoIsIt, the_station


class Command(Door):
    """Makes a key; its secret is shown once, as the last line."""

    help = "Make a key for a program. The secret is printed once, as the last line, and kept nowhere."

    def take(self, parser: ArgumentParser) -> None:
        """Take account, scopes and days."""
        parser.add_argument("user", help="the account in whose name the program acts")
        parser.add_argument("--scopes", default="read", help="read, write, or parts of them as lots:read, with commas")
        parser.add_argument("--name", default="", help="the program or device that will hold it")
        parser.add_argument("--days", type=int, help="how long it lasts; without it, until it is deleted")

    def answer(self, options: dict[str, Any]) -> int:
        """Make the key and print its secret."""
        user = User.objects.filter(username=options["user"]).first()
        if user is None:
            raise WhoIsIt(options["user"], "Name an account that is set up here.")
        scopes = [scope.strip() for scope in options["scopes"].split(",") if scope.strip()]
        station = the_station(options) if options["station"] else None
        secret = make_token(
            user, scopes=scopes, days=options["days"], now=datetime.now(UTC), name=options["name"], station=station
        )
        if options["json"]:
            self.say_json({"user": user.get_username(), "scopes": scopes, "days": options["days"], "secret": secret})
        else:
            self.say("Keep this secret; it is not shown again:", secret)
        return DONE
