"""Addresses of the inventory's pages."""

from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.views import LogoutView
from django.urls import include, path

from inventory.pages import (
    accounts,
    acts,
    areas,
    lot_list,
    one_line,
    one_lot,
    paper_files,
    preferences,
    prints,
    recalls,
    statements,
    things,
    tracing,
    weigh_in,
)

urlpatterns = [
    path("", things.home, name="home"),
    path("sign-in/", login_not_required(accounts.SignIn.as_view()), name="sign-in"),
    path("sign-out/", LogoutView.as_view(), name="sign-out"),
    path("find", things.find, name="find"),
    path("scan", things.scan, name="scan"),
    path("preferences/", preferences.preferences, name="preferences"),
    path("area/<slug:name>/", areas.area, name="area"),
    path("do/", acts.acts, name="acts"),
    path("do/<slug:verb>/", acts.act, name="act"),
    path("weigh-in/look", weigh_in.weigh_in_look, name="weigh-in-look"),
    path("booked/<int:number>/", acts.booked, name="booked"),
    path("recall/", recalls.recalls, name="recall"),
    path("floor/", include("inventory.pages.floor_urls")),
    path("lots/", lot_list.lots, name="lots"),
    path("lots/act/", lot_list.lots_act, name="lots-act"),
    path("lots/<str:number>/", one_lot.lot, name="lot"),
    path("lots/<str:number>/pictures/<slug:what>/", one_lot.lot_picture, name="lot-picture"),
    path("lots/<str:number>/statement/", statements.statement, name="statement"),
    path("lots/<str:number>/descent", one_lot.lot_descent, name="lot-descent"),
    path("lines/", one_line.lines, name="lines"),
    path("season/<path:ref>/", one_line.season, name="season"),
    path("trace/<path:ref>/", tracing.traced_page, name="trace"),
    path("line/", include("inventory.pages.line_urls")),
    path("of/line/<path:name>/", one_line.line_page, name="line-page"),
    path("of/<slug:kind>/<path:name>/", things.thing, name="thing"),
    path("s/<str:digits>", prints.scanned, name="scanned"),
    path("records/", include("inventory.pages.records_urls")),
    path("print/", prints.papers, name="papers"),
    path("print/labels/", prints.print_labels, name="print-labels"),
    path("print/labels/<int:number>.<slug:kind>", prints.labels, name="labels"),
    path("print/paper.pdf", paper_files.paper, name="paper"),
    path("print/envelopes/<int:number>.pdf", prints.envelopes, name="envelopes"),
    path("print/cards.pdf", prints.cards, name="cards"),
]
