"""A small station in a site of its own, asked by a program with its key and by a person who is signed in."""

from textwrap import dedent
from typing import Any

from tests.plugins.site import Site

# A plant with one lot, and a key; kept in the site's own database.
_SET_UP = """
from datetime import UTC, datetime
from api.tokens import make_token
from tests.make import house, received
plant = house()
for account in plant.people.values():
    account.set_password("a long enough word"); account.save()
secret = make_token(plant.records, scopes=["read", "write"], days=None, now=datetime.now(UTC))
print(json.dumps([received(plant).number, secret]))
"""
_ASK = """
from django.conf import settings
settings.ALLOWED_HOSTS = ["testserver"]
from django.test import Client
from inventory.models import Operation, Station
from tests.api.asking import Program
program, person, said, lot = Program({secret!r}), Client(raise_request_exception=False), {{}}, {lot!r}
person.login(username="records-st", password="a long enough word")
def body(answer): return [answer.status_code, answer.json()]
def page(address): answer = person.get(address); return [answer.status_code, answer.content.decode("utf-8", "replace")]
"""
WHOLE = """
from inventory.queries.verifying import verify
said["whole"] = verify(Station.objects.get()).is_whole
"""


class Asked:
    """The site with its lot and key."""

    def __init__(self, site: Site) -> None:
        self.site = site
        self.lot, self.secret = site.program(_SET_UP)

    def program(self, *texts: str, **environment: str) -> Any:
        """Run lines that ask; what they put into `said` comes back."""
        head = _ASK.format(secret=self.secret, lot=self.lot)
        lines = "\n".join([head, *map(dedent, texts), "print(json.dumps(said))"])
        return self.site.program(lines, **environment)
