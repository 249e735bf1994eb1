"""The rule sets that a station grades by: those that came with the app and its own editions."""

from django.http import HttpResponse
from rest_framework.request import Request
from rest_framework.views import APIView

from api.v1.asked import asked, station_for
from api.v1.conditions import unless_known
from grading.queries.editions import rules_of
from grading.queries.in_force import named_rule_set
from grading.queries.rule_tables import rule_set_head, rule_set_whole
from inventory.queries.today import today_at


class RuleSets(APIView):
    """All editions."""

    def get(self, request: Request) -> HttpResponse:
        """List them without their tables; there are few, so that one page holds all."""
        asked(request)
        heads = [rule_set_head(one) for one in rules_of(station_for(request))]
        return unless_known(request, {"results": heads, "next": None, "previous": None})


class OneRuleSet(APIView):
    """One edition."""

    def get(self, request: Request, name: str) -> HttpResponse:
        """Answer it with its tables: the edition in force today by its id, another one as ID:EDITION."""
        asked(request)
        station = station_for(request)
        return unless_known(request, rule_set_whole(named_rule_set(name, today_at(station), rules_of(station))))
