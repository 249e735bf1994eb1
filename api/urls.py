"""Addresses of the API."""

from django.http import Http404
from django.urls import path
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from api.v1 import lots


class Nothing(APIView):
    """An address at which there is nothing: said as every other problem is."""

    def get(self, request: Request, rest: str) -> Response:
        """Say so."""
        raise Http404(f"There is nothing to {request.method} at /api/{rest}. The lots are at /api/v1/lots/.")

    post = put = patch = delete = get


urlpatterns = [
    path("v1/lots/", lots.Lots.as_view(), name="api-lots"),
    path("v1/lots/receive", lots.Receive.as_view(), name="api-receive"),
    path("v1/lots/<str:number>/", lots.OneLot.as_view(), name="api-lot"),
    path("v1/lots/<str:number>/trace/", lots.LotTrace.as_view(), name="api-lot-trace"),
    path("<path:rest>", Nothing.as_view()),
]
