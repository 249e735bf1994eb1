"""Build the demo where it is not there yet, and tell its answers beside what the ledger says."""

import json
import os
import secrets

from django.contrib.auth.models import User
from django.core.management import call_command
from django.db import connection

from fixtures_demo import year_2024, year_2025
from fixtures_demo.answers import answers
from fixtures_demo.demo import NOW, Demo
from fixtures_demo.people import EVERYBODY, open_quillmarsh
from fixtures_demo.season import BANNER, TODAY
from inventory.actions.acting import as_one
from inventory.models import DataMark, Lot, Operation, Station
from inventory.models.triggers import lifted


def tell(*, is_fresh: bool) -> int:
    """Build, ask and print.

    Returns:
        0 when all is as it must be, 1 when an answer differs, 2 when the database is not the demo's.
    """
    mark = DataMark.objects.filter(is_demo=True).first()
    if mark is None and (Lot.objects.exists() or Station.objects.exists()):
        print(
            "This database holds a station that is not the demo's. Name another folder in HILUM_DATA and run it again."
        )
        return 2
    if mark is not None and is_fresh:
        delete_demo()
        mark = None
    if mark is None:
        build()
    print(f"{BANNER}\nToday is {TODAY}.\n")
    return _ask(Station.objects.get())


def build() -> Demo:
    """Build the season; all of it or nothing."""
    password = os.environ.get("HILUM_DEMO_PASSWORD") or secrets.token_urlsafe(9)
    with as_one():
        demo = Demo(open_quillmarsh(NOW))
        year_2024.build(demo)
        year_2025.build(demo)
        _give_passwords(password)
        DataMark.objects.create(is_demo=True, banner=BANNER, today=TODAY)
    print("What was asked on the way:")
    for asked, reason in (*demo.refused, *_answered()):
        print(f"  - {asked}\n    {reason}")
    print(f"\nSign in as {', '.join(EVERYBODY)}; the password is {password}\n")
    return demo


def _answered() -> list[tuple[str, str]]:
    """The questions that acts asked, each with the reason that was kept with it."""
    contents = Operation.objects.order_by("seq").values_list("content", flat=True)
    facts = (json.loads(content)["facts"] for content in contents)
    return [(asked, f"kept: {why}") for fact in facts for asked, why in fact.get("asked", {}).items()]


def delete_demo() -> None:
    """Delete the demo whole: the one way in which acts are ever deleted, and only where the database is the demo's."""
    with lifted(connection):
        call_command("flush", interactive=False, verbosity=0)


def _give_passwords(password: str) -> None:
    for user in User.objects.filter(username__in=EVERYBODY):
        user.set_password(password)
        user.save(update_fields=["password"])


def _ask(station: Station) -> int:
    wrong = 0
    for answer in answers(station):
        mark = "✓" if answer.is_right else "✕"
        print(f"{mark} {answer.question}\n    {answer.given}")
        if not answer.is_right:
            wrong += 1
            print(f"    must be: {answer.expected}")
    said = "every answer is as it must be" if not wrong else f"{wrong} answers differ"
    print(f"\nIn-house figures, not an official certificate; {said}.")
    return 1 if wrong else 0
