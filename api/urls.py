"""Addresses of the API."""

from django.http import Http404
from django.urls import path, resolve
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from api.v1 import lots


class Nothing(APIView):
    """An address at which there is nothing: said as every other problem is."""

    def get(self, request: Request, rest: str) -> Response:
        """Say so."""
        where = "What there is stands at /api/v1/."
        if not rest.endswith("/") and _is_there(f"/api/{rest}/"):
            where = f"Put a slash at its end: /api/{rest}/"
        raise Http404(f"There is nothing to {request.method} at /api/{rest}. {where}")

    post = put = patch = delete = get


class Index(APIView):
    """What there is, so that a program's writer finds the rest from here."""

    def get(self, request: Request) -> Response:
        """Name every address with what it takes."""
        here = request.build_absolute_uri(request.path)
        return Response(
            {
                "lots": f"{here}lots/{{?limit,cursor}}",
                "lot": f"{here}lots/{{number}}/",
                "trace": f"{here}lots/{{number}}/trace/{{?forward}}",
                "receive": f"{here}lots/receive",
            }
        )


def _is_there(address: str) -> bool:
    return resolve(address).url_name is not None  # whatever is nothing has no name


urlpatterns = [
    path("v1/", Index.as_view(), name="api-index"),
    path("v1/lots/", lots.Lots.as_view(), name="api-lots"),
    path("v1/lots/receive", lots.Receive.as_view(), name="api-receive"),
    path("v1/lots/<str:number>/", lots.OneLot.as_view(), name="api-lot"),
    path("v1/lots/<str:number>/trace/", lots.LotTrace.as_view(), name="api-lot-trace"),
    path("<path:rest>", Nothing.as_view()),
]
