"""Build the demo where it is not there yet, and tell its answers beside what the ledger says."""

import json
import os
import secrets
import sys

from django.contrib.auth.models import User
from django.core.management import call_command
from django.db import connection

from fixtures_demo import year_2024, year_2025
from fixtures_demo.answers import answers
from fixtures_demo.demo import NOW, Demo
from fixtures_demo.people import EVERYBODY, open_quillmarsh
from fixtures_demo.practice import practice_copy
from fixtures_demo.season import BANNER, TODAY
from inventory.actions.acting import as_one
from inventory.models import DataMark, Lot, Operation, Standing, Station
from inventory.models.triggers import lifted

_NOT_OURS = (
    "This database holds a station that is not the demo's. Name another folder in HILUM_DATA and run it again.\n"
)
_PRACTICE = """This is a practice copy: lines, plots and blocks, and no lots. Try a sheet as somebody kept it:
    .venv/bin/python manage.py sheet fixtures_demo/workbooks/intake_2024_as_kept.xlsx --kind intake
bin/demo --fresh fills in the season instead."""


def tell(*, is_fresh: bool, is_practice: bool = False) -> int:
    """Build, ask and print.

    Args:
        is_fresh: delete the demo that is there first.
        is_practice: build the practice copy instead: lines, plots and blocks, and no lots.

    Returns:
        0 when all is as it must be, 1 when an answer differs, 2 when the database is not the demo's.
    """
    is_there = DataMark.objects.filter(is_demo=True).exists()
    if not is_there and (Lot.objects.exists() or Station.objects.exists()):
        sys.stderr.write(_NOT_OURS)
        return 2
    if is_there and is_fresh:
        delete_demo()
    if is_fresh or not is_there:
        _build_and_say(is_practice=is_practice)
    elif wanted := os.environ.get("HILUM_DEMO_PASSWORD"):
        _give_passwords(wanted)
    print(f"{BANNER}\nToday is {TODAY}.\n")
    station = Station.objects.get()
    if not Standing.objects.filter(station=station).exists():
        print(_PRACTICE)
        return 0
    return _ask(station)


def _build_and_say(*, is_practice: bool) -> None:
    password = os.environ.get("HILUM_DEMO_PASSWORD") or secrets.token_urlsafe(9)
    with as_one():
        refused = _build_practice() if is_practice else build().refused
        _give_passwords(password)
        DataMark.objects.create(is_demo=True, banner=BANNER, today=TODAY)
    answered = _answered()
    if refused or answered:
        print("What was asked on the way:")
    for asked, reason in (*refused, *answered):
        print(f"  - {asked}\n    {reason}")
    print(f"\nSign in as {', '.join(EVERYBODY)}; the password is {password}\n")


def build() -> Demo:
    """Build the season, in one transaction of the caller's."""
    demo = Demo(open_quillmarsh(NOW))
    year_2024.build(demo)
    year_2025.build(demo)
    return demo


def _build_practice() -> list[tuple[str, str]]:
    practice_copy(NOW)
    return []


def _answered() -> list[tuple[str, str]]:
    """The questions that acts asked, each with the reason that was kept with it."""
    contents = Operation.objects.order_by("seq").values_list("content", flat=True)
    facts = (json.loads(content)["facts"] for content in contents)
    return [(asked, f"kept: {why}") for fact in facts for asked, why in fact.get("asked", {}).items()]


def delete_whole() -> int:
    """Delete the demo and build nothing.

    Returns:
        0 when nothing is left of it, 2 when the database is not the demo's.
    """
    if not DataMark.objects.filter(is_demo=True).exists():
        sys.stderr.write(_NOT_OURS)
        return 2
    delete_demo()
    print("The demo is deleted. bin/demo builds it anew.")
    return 0


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
    differ = f"{wrong} answers differ (bin/demo --fresh starts over, if the demo's books were written in since)"
    said = differ if wrong else "every answer is as it must be"
    print(f"\nIn-house figures, not an official certificate; {said}.")
    return 1 if wrong else 0
