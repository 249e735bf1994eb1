"""Addresses of the API: without a slash at the end; names of things may hold one, so they stand last."""

from django.http import Http404, HttpResponse
from django.urls import URLPattern, path, re_path, resolve
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from api import pages, registry
from api.feed import changes
from api.jobs import views as jobs
from api.plugins import listed
from api.plugins.routes import plugin_routes
from api.readings import device_views as devices
from api.readings import views as readings
from api.v1 import (
    acts,
    bulk,
    data_packages,
    exporting,
    figures,
    listing,
    loads,
    lots,
    me,
    operations,
    rule_sets,
    sheet_kinds,
    sheets,
    takeout,
)
from api.v1.asked import asked
from api.v1.conditions import unless_known
from api.v1.shelves import SHELVES, Shelf
from api.webhooks import views as webhooks
from grading.queries.figures import FIGURES


class Nothing(APIView):
    """An address at which there is nothing: said as every other problem is."""

    schema = None

    def get(self, request: Request, rest: str) -> Response:
        """Say so."""
        where = "What there is stands at /api/v1."
        if rest.endswith("/") and _is_there(f"/api/{rest.rstrip('/')}"):
            where = f"Take the slash from its end: /api/{rest.rstrip('/')}"
        raise Http404(f"There is nothing to {request.method} at /api/{rest}. {where}")

    post = put = patch = delete = get


class Index(APIView):
    """What there is, so that a program's writer finds the rest from here."""

    is_for_every_key = True

    def get(self, request: Request) -> HttpResponse:
        """Name every address with what it takes."""
        asked(request)
        here = request.build_absolute_uri("/api/v1")
        lists = {shelf.name: f"{here}/{shelf.name}{{?limit,cursor,fields}}" for shelf in SHELVES}
        return unless_known(
            request,
            {
                **lists,
                "rule-sets": f"{here}/rule-sets",
                "kinds of sheet": f"{here}/sheet-kinds",
                "one": f"{here}/{{list}}/{{name}}",
                "export": f"{here}/{{list}}/export{{?format,fields}}",
                "what an export holds": f"{here}/{{list}}/datapackage.json{{?fields}}",
                "trace": f"{here}/trace{{?of,forward}}",
                "epcis": f"{here}/lots/{{lot}}/epcis",
                "passports": f"{here}/lines/passports{{?format}}",
                "package": f"{here}/package",
                "recall": f"{here}/recall{{?of}}",
                "sample outcome": f"{here}/samples/{{sample}}/outcome{{?rule_set}}",
                "outcome": f"{here}/outcome",
                "figures": f"{here}/figures",
                "acts": f"{here}/acts",
                "plugins": f"{here}/plugins",
                "many acts": f"{here}/acts/bulk",
                "changes": f"{here}/changes{{?after,limit}}",
                "receive": f"{here}/lots/receive",
            },
        )


def _is_there(address: str) -> bool:
    return resolve(address).url_name is not None  # whatever is nothing has no name


# Lists of which one thing says more than its row.
_OWN = {"lots": lots.OneLot, "sheets": sheets.OneSheet, "loads": loads.OneLoad, "jobs": jobs.OneJob,
        "webhooks": webhooks.OneWebhook}  # fmt: skip
_SAYS_MORE = {"operations": operations.OneOperation, "devices": devices.OneDevice, "readings": readings.OneReading}
_LISTS = {"sheets": sheets.Sheets, "jobs": jobs.Jobs, "devices": devices.Devices, "readings": readings.Readings,
          "webhooks": webhooks.Webhooks}  # fmt: skip


def _of(shelf: Shelf) -> list[URLPattern]:
    own = _OWN.get(shelf.name)
    one = own.as_view() if own else _SAYS_MORE.get(shelf.name, listing.OneThing).as_view(shelf=shelf)
    kind = "str" if own else "path"  # a bag is named 24-0016-5/14
    name = shelf.one.replace(" ", "-")
    things = _LISTS.get(shelf.name, listing.Things)
    return [
        path(f"v1/{shelf.name}", things.as_view(shelf=shelf), name=f"api-{shelf.name}"),
        path(f"v1/{shelf.name}/export", exporting.Export.as_view(shelf=shelf), name=f"api-{shelf.name}-export"),
        path(
            f"v1/{shelf.name}/datapackage.json",
            data_packages.Descriptor.as_view(shelf=shelf),
            name=f"api-{shelf.name}-datapackage",
        ),
        path(f"v1/{shelf.name}/<{kind}:name>", one, name=f"api-{name}"),
    ]


urlpatterns = [
    path("docs", pages.docs, name="api-docs"),
    path("openapi.yaml", pages.openapi, name="api-openapi"),
    path("problems", registry.ProblemTypes.as_view(), name="api-problems"),
    path("problems/<str:code>", registry.ProblemTypes.as_view(), name="api-problem"),
    path("v1", Index.as_view(), name="api-index"),
    path("v1/me", me.Me.as_view(), name="api-me"),
    path("v1/acts", acts.Acts.as_view(), name="api-acts"),
    *(path(f"v1/acts/{acts.slug_of(verb)}", acts.Do.as_view(verb=verb)) for verb in acts.offered()),
    path("v1/acts/bulk", bulk.Bulk.as_view(), name="api-bulk"),
    path("v1/acts/<str:verb>", acts.Do.as_view(schema=None), name="api-act"),
    path("v1/changes", changes.Changes.as_view(), name="api-changes"),
    path("v1/figures", figures.Figures.as_view(), name="api-figures"),
    *(path(f"v1/figures/{figures.figure_slug(name)}", figures.WorkOut.as_view(figure=name)) for name in FIGURES),
    path("v1/figures/<str:figure>", figures.WorkOut.as_view(schema=None), name="api-figure"),
    path("v1/outcome", figures.OutcomeOf.as_view(), name="api-outcome"),
    path("v1/trace", lots.Trace.as_view(), name="api-trace"),
    path("v1/recall", lots.RecallOf.as_view(), name="api-recall"),
    path("v1/package", takeout.Package.as_view(), name="api-package"),
    path("v1/lines/passports", takeout.Passports.as_view(), name="api-passports"),
    path("v1/lots/receive", lots.Receive.as_view(), name="api-receive"),
    path("v1/lots/<str:name>/trace", lots.LotTrace.as_view(), name="api-lot-trace"),
    path("v1/lots/<str:name>/epcis", lots.LotEpcis.as_view(), name="api-lot-epcis"),
    path("v1/samples/<str:name>/outcome", figures.SampleOutcome.as_view(), name="api-sample-outcome"),
    path("v1/sheets/<str:name>/findings", sheets.SheetFindings.as_view(), name="api-sheet-findings"),
    path("v1/sheets/<str:name>/answers", sheets.SheetAnswers.as_view(), name="api-sheet-answers"),
    path("v1/sheets/<str:name>/save", sheets.SheetSave.as_view(), name="api-sheet-save"),
    path("v1/loads/<str:name>/unload", loads.Unload.as_view(), name="api-unload"),
    path("v1/machines", operations.Machines.as_view(), name="api-machines"),
    path("v1/readings/read-again", readings.ReadManyAgain.as_view(), name="api-readings-again"),
    path("v1/readings/<str:name>/read-again", readings.ReadAgain.as_view(), name="api-reading-again"),
    path("v1/webhooks/<str:name>/test", webhooks.WebhookTest.as_view(), name="api-webhook-test"),
    path("v1/webhooks/<str:name>/secret", webhooks.WebhookSecret.as_view(), name="api-webhook-secret"),
    path("v1/deliveries/<str:name>/redeliver", webhooks.Redeliver.as_view(), name="api-redeliver"),
    path("v1/jobs/<str:name>/result", jobs.JobResult.as_view(), name="api-job-result"),
    path("v1/sheet-kinds", sheet_kinds.SheetKinds.as_view(), name="api-sheet-kinds"),
    path("v1/sheet-kinds/<str:name>", sheet_kinds.OneSheetKind.as_view(), name="api-sheet-kind"),
    path("v1/sheet-kinds/<str:name>/template", sheet_kinds.SheetTemplate.as_view(), name="api-sheet-template"),
    path("v1/rule-sets", rule_sets.RuleSets.as_view(), name="api-rule-sets"),
    path("v1/rule-sets/<str:name>", rule_sets.OneRuleSet.as_view(), name="api-rule-set"),
    *(pattern for shelf in SHELVES for pattern in _of(shelf)),
    path("v1/plugins", listed.Plugins.as_view(), name="api-plugins"),
    *plugin_routes(),
    re_path(r"^(?P<rest>[\s\S]+)$", Nothing.as_view()),  # also where a line ends within
]
