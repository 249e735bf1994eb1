"""Addresses of the data manager's pages."""

from django.urls import path

from inventory.pages import records, setting_up, sheets

urlpatterns = [
    path("", records.desk, name="records"),
    path("look/", records.look, name="look"),
    path("verify/", records.verify, name="verify"),
    path("backup", records.backup, name="backup"),
    path("lines/", setting_up.lines, name="line-names"),
    path("lists/", setting_up.lists, name="lists"),
    path("people/", setting_up.people, name="people"),
    path("station/", setting_up.station_settings, name="station"),
    path("practice/", setting_up.practice, name="practice"),
    path("sheets/", sheets.sheets, name="sheets"),
    path("sheets/empty/<str:kind>.xlsx", sheets.template, name="sheet-template"),
    path("sheets/<uuid:uid>/", sheets.sheet, name="sheet"),
    path("sheets/<uuid:uid>/save", sheets.save_sheet, name="save-sheet"),
    path("loads/", sheets.loads, name="loads"),
    path("loads/L<int:number>/", sheets.load, name="load"),
]
