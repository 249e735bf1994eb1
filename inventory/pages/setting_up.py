"""What the records desk sets up: lines and their names, word lists, people, the station, the practice copy."""

import os
import subprocess
import sys
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_safe

from inventory.actions.passwords import give_password
from inventory.actions.stations import StationSettings, set_station
from inventory.models import Container, DataMark, Lot, MarketClass, Membership, Place, Site, Station
from inventory.pages.acts import UNPROCESSABLE, new_key, person
from inventory.pages.areas import request_role
from inventory.pages.frame import station_here
from inventory.pages.sheets import all_of
from inventory.queries.finding import find_line
from inventory.queries.line_names import goes_over, named_lines
from inventory.queries.today import mark_of_data, today_at
from inventory.rules.deliveries import TARE_MAX_AGE
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.roles import ROLES, WHO_MAY, may, who_may
from inventory.rules.runs import MACHINES

DEMO_SECONDS = 300
SHORTEST_PASSWORD = 10


@require_safe
def lines(request: HttpRequest) -> HttpResponse:
    """List the lines with every name that finds them; say what a merge would take over before it is done."""
    station = station_here(request)
    context: dict[str, Any] = {"lines": named_lines(station), "may": may(request_role(request), "rename")}
    typed = {name: request.GET.get(name, "") for name in ("line", "into")}
    if all(typed.values()):
        try:
            one, other = (find_line(station, typed[name], field=name)[0] for name in ("line", "into"))
            context["over"] = goes_over(one, other)
        except (Mistake, Refused) as refused:
            context["wrong"] = all_of(refused)
    return render(request, "inventory/line_names.html", {**context, "typed": typed, "key": new_key()})


@require_safe
def lists(request: HttpRequest) -> HttpResponse:
    """Show the word lists: classes, sites, places, containers with their tares, machines, units."""
    station, today = station_here(request), today_at(station_here(request))
    containers = [
        (one, one.checked_on is None or today - one.checked_on > TARE_MAX_AGE)
        for one in Container.objects.filter(station=station).order_by("code")
    ]
    context = {
        "classes": MarketClass.objects.filter(station=station).order_by("name"),
        "sites": Site.objects.filter(station=station).order_by("code"),
        "places": Place.objects.filter(station=station).order_by("code"), "containers": containers,
        "machines": [(name, ", ".join(others)) for name, others in MACHINES.items()],
        "may": may(request_role(request), "places"), "may_origin": may(request_role(request), "origin"),
    }  # fmt: skip
    return render(request, "inventory/lists.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def people(request: HttpRequest) -> HttpResponse:
    """List who works here in which role and when they last signed in; give somebody a new password, shown once."""
    station = station_here(request)
    context: dict[str, Any] = {"may": may(request_role(request), "people")}
    if request.method == "POST":
        name = request.POST.get("person", "")
        try:
            context |= {"password": give_password(name, station=station, by=person(request)), "given": name}
        except Refused as refused:
            context["wrong"] = refused.mistakes
    members = Membership.objects.filter(station=station).select_related("user").order_by("role", "user__username")
    rights = {role: [WHO_MAY[verb][0] for verb in WHO_MAY if role in who_may(verb)] for role in ROLES}
    context |= {"members": members, "rights": rights}
    return render(request, "inventory/people.html", context, status=UNPROCESSABLE if "wrong" in context else 200)


@require_http_methods(["GET", "HEAD", "POST"])
def station_settings(request: HttpRequest) -> HttpResponse:
    """Show and set what the station is called and its usual places."""
    station = station_here(request)
    typed = {name: request.POST.get(name, getattr(station, name)) for name in ("name", "floor", "line_end")}
    wrong: tuple[Mistake, ...] = ()
    if request.method == "POST":
        try:
            set_station(StationSettings(**typed), station=station, by=person(request), key=request.POST.get("key", ""))
            messages.success(request, gettext("Saved."))
            return redirect("station")
        except Refused as refused:
            wrong = refused.mistakes
    context = {"typed": typed, "wrong": wrong, "may": may(request_role(request), "places"), "key": new_key()}
    return render(request, "inventory/station.html", context, status=UNPROCESSABLE if wrong else 200)


class NoPractice(Mistake):
    """The database holds real seed."""

    code = "no_practice"

    def __init__(self, lots: int) -> None:
        super().__init__(
            f"This database holds real books with {lots:,} lot{'' if lots == 1 else 's'}, so nothing of it is "
            "deleted or filled from here. Practise in a folder of its own: HILUM_DATA=/somewhere/else bin/demo "
            "--practice, then bin/serve with the same HILUM_DATA."
        )


class PracticeNotBuilt(Mistake):
    """The practice copy could not be built."""

    code = "practice_not_built"

    def __init__(self, why: str) -> None:
        super().__init__(f"The practice copy was not built: {why} Run bin/demo --fresh on the computer that serves.")


class NotSure(Mistake):
    """The practice copy was to be deleted, and nothing said that all of it is meant."""

    code = "not_sure"

    def __init__(self) -> None:
        super().__init__("Nothing was deleted. Tick that all of it is to go, then delete it.", field="sure")


class PasswordTooShort(Mistake):
    """The password of the practice accounts is too short."""

    code = "password_too_short"

    def __init__(self) -> None:
        super().__init__(
            f"Type a password of at least {SHORTEST_PASSWORD} characters for the practice accounts.", field="password"
        )


@require_http_methods(["GET", "HEAD", "POST"])
def practice(request: HttpRequest) -> HttpResponse:
    """Say how this database stands; start a practice copy over, or delete it whole."""
    station, mark = station_here(request), mark_of_data()
    wrong: tuple[Mistake, ...] = ()
    if request.method == "POST":
        try:
            _start_over(request, station, mark)
            return redirect("sign-in")
        except (Mistake, Refused) as refused:
            wrong = all_of(refused)
    context = {
        "mark": mark, "lots": Lot.objects.count(), "wrong": wrong, "folder": settings.DATA_DIR,
        "may": may(request_role(request), "people"), "can_build": (settings.BASE_DIR / "fixtures_demo").is_dir(),
    }  # fmt: skip
    return render(request, "inventory/practice.html", context, status=UNPROCESSABLE if wrong else 200)


def _start_over(request: HttpRequest, station: Station, mark: DataMark | None) -> None:
    """Run what `bin/demo` runs, in a process of its own: the site knows nothing of the demo."""
    if mark is None or not mark.is_demo:
        raise NoPractice(Lot.objects.filter(station=station).count())
    if not may(request_role(request), "people"):
        raise PracticeNotBuilt(gettext("records alone may start it over."))
    password = request.POST.get("password", "")
    if request.POST.get("what") != "nothing" and len(password) < SHORTEST_PASSWORD:
        raise PasswordTooShort
    if request.POST.get("what") == "nothing" and request.POST.get("sure") != "yes":
        raise NotSure
    asked = {"season": ["--fresh"], "lines": ["--fresh", "--practice"], "nothing": ["--delete"]}
    try:
        done = subprocess.run(  # noqa: S603 - our own interpreter with words of our own
            [sys.executable, "-m", "fixtures_demo", *asked[request.POST.get("what", "")]], cwd=settings.BASE_DIR,
            env={**os.environ, "HILUM_DEMO_PASSWORD": password}, capture_output=True, timeout=DEMO_SECONDS, check=False,
        )  # fmt: skip
    except (KeyError, OSError, subprocess.TimeoutExpired) as error:
        raise PracticeNotBuilt(gettext("it could not be started or took too long.")) from error
    if done.returncode == 2:
        raise PracticeNotBuilt(done.stderr.decode(errors="replace").strip()[:300])
