"""Who the key is: what a program asks first, to see that it is set up rightly."""

from django.http import HttpResponse
from rest_framework.request import Request
from rest_framework.views import APIView

from api.v1.asked import asked, key_sent, person_of, station_for
from api.v1.conditions import unless_known
from api.v1.values import instant
from inventory.queries.signing_in import role_at
from inventory.queries.today import today_at


class Me(APIView):
    """The key that is sent."""

    is_for_every_key = True

    def get(self, request: Request) -> HttpResponse:
        """Tell account, station, its zone and day, the role, and what the key may do."""
        asked(request)
        station, person, key = station_for(request), person_of(request), key_sent(request)
        return unless_known(
            request,
            {
                "account": person.get_username(),
                "station": station.code,
                "zone": station.zone,
                "today": today_at(station).isoformat(),
                "role": role_at(station, person) or None,
                "key": key.name,
                "device": key.device.code if key.device else None,
                "scopes": key.given,
                "expires": instant(key.expires_at),
            },
        )
