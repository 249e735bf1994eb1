"""The plugin's addresses of the API, under /api/v1/x/soaking-test/."""

from django.urls import path
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from hilum.plugins.books import books
from soaking_test.models import Soak


class Soaks(APIView):
    """All soaks of the station of whoever asks."""

    def get(self, request: Request) -> Response:
        """List all soaks, the newest first."""
        station = books().who(request).station
        rows = Soak.objects.filter(lot__station__code=station, operation__reversed_by__isnull=True).order_by("-pk")
        return Response({"results": [{"lot": row.lot.number, "coefficient": str(row.coefficient)} for row in rows]})


urlpatterns = [path("soaks", Soaks.as_view(), name="soaks")]
