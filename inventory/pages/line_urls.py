"""Addresses of the cleaning line's pages."""

from django.urls import path

from inventory.pages import bagging, blending, day_order, line, losses, run_page

urlpatterns = [
    path("", line.line, name="line"),
    path("look", line.line_look, name="line-look"),
    path("runs/<str:number>/", run_page.run, name="run"),
    path("bagging/", bagging.bagging, name="bagging"),
    path("bagging/look", bagging.bagging_look, name="bagging-look"),
    path("losses/", losses.losses, name="losses"),
    path("blend/look", blending.blend_look, name="blend-look"),
    path("order/", day_order.day_order, name="day-order"),
    path("runs.csv", day_order.run_sheet, name="run-sheet"),
]
