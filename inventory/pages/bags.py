"""The page of one bag, and the door to it: where it is now, and what went out with it."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from inventory.pages.areas import request_role
from inventory.pages.frame import station_here
from inventory.pages.lots import link_to
from inventory.queries.anything import ThingKind, find_anything
from inventory.queries.bag_story import bag_story
from inventory.queries.finding import find_lot
from inventory.rules.mistakes import Mistake
from inventory.rules.roles import may


@require_safe
def bag(request: HttpRequest, number: str, bag_no: int) -> HttpResponse:
    """Show where a bag is, or by which act it left and with what."""
    station = station_here(request)
    try:
        find_anything(station, f"{number}/{bag_no}")
        lot, _notes = find_lot(station, number)
    except Mistake as mistake:
        raise Http404(mistake.says) from mistake
    story = bag_story(lot, bag_no)
    context = {"story": story, "shipment": getattr(story.left_by, "shipment", None)}
    return render(request, "inventory/bag.html", {**context, "may_move": may(request_role(request), "move")})


@require_safe
def bag_door(request: HttpRequest) -> HttpResponse:
    """Ask for a bag, and lead to its page."""
    of, wrong = request.GET.get("of", "").strip(), ""
    if of:
        try:
            found = find_anything(station_here(request), of)
            if found.kind is ThingKind.BAG:
                return redirect(link_to("bag", found.id))
            wrong = f"{found.id} is no bag. A bag is its lot and its number, such as 24-0016-5/14."
        except Mistake as mistake:
            wrong = mistake.says
    return render(request, "inventory/bag_door.html", {"of": of, "wrong": wrong}, status=422 if wrong else 200)
