"""Whether a lot looks like its line: a piece of the lot's page that is loaded after it, and a page by itself."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from grading.queries.likeness import likeness_of
from grading.queries.likeness_words import says, steps
from inventory.pages.frame import station_here


@require_safe
def looks(request: HttpRequest, number: str) -> HttpResponse:
    """Hold a lot beside its line by all that was measured; it reads every measured lot (3 queries)."""
    found = likeness_of(station_here(request), number)
    context = {
        "number": number,
        "says": says(found) if found else "",
        "is_strange": found is not None and found.is_strange,
        "steps": [step.says for step in steps(found)] if found else [],
    }
    is_piece = request.headers.get("HX-Request") == "true"
    return render(request, "grading/_looks.html" if is_piece else "grading/looks.html", context)
