"""Addresses of the whole site."""

from django.contrib import admin
from django.urls import include, path, re_path

from api.brapi.routes import Nothing
from hilum.security import sign_in_first
from inventory.pages.plugin_pages import plugin_pages

urlpatterns = [
    path("records/rules/", include("grading.pages.rules_urls")),
    path("", include("inventory.pages.urls")),
    path("bench/", include("grading.pages.urls")),
    *plugin_pages(),
    path("connections/", include("api.connections_urls")),
    path("api/", include("api.urls")),
    path("brapi/v2/", include("api.brapi.urls")),
    re_path("^brapi(?:/.*)?$", Nothing.as_view()),
    path("admin/login/", sign_in_first),
    path("admin/", admin.site.urls),
]
