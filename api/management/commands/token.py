"""`manage.py token USER --scopes read,write [--days N]`: make a key for a program."""

from argparse import ArgumentParser
from datetime import UTC, datetime
from typing import Any

from api.tokens import make_token
from inventory.management.door import DONE, Door, the_person


class Command(Door):
    """Makes a key; its secret is shown once, as the last line."""

    help = "Make a key for a program. The secret is printed once, as the last line, and kept nowhere."

    def take(self, parser: ArgumentParser) -> None:
        """Take account, scopes and days."""
        parser.add_argument("user", help="the account in whose name the program acts")
        parser.add_argument("--scopes", default="read", help="read, write, or both with a comma")
        parser.add_argument("--days", type=int, help="how long it lasts; without it, until it is deleted")

    def answer(self, options: dict[str, Any]) -> int:
        """Make the key and print its secret."""
        user = the_person({"by": options["user"]})
        scopes = [scope.strip() for scope in options["scopes"].split(",") if scope.strip()]
        secret = make_token(user, scopes=scopes, days=options["days"], now=datetime.now(UTC))
        if options["json"]:
            self.say_json({"user": user.get_username(), "scopes": scopes, "days": options["days"], "secret": secret})
        else:
            self.say("Keep this secret; it is not shown again:", secret)
        return DONE
