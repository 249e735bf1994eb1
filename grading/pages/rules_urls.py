"""Addresses of the rules."""

from django.urls import path

from grading.pages import rules

urlpatterns = [
    path("", rules.rules, name="rules"),
    path("of/<str:rule_set>/<str:edition>/", rules.edition, name="rules-edition"),
    path("draft/<str:rule_set>/<str:edition>/", rules.draft, name="rules-draft"),
    path("draft/<str:rule_set>/<str:edition>/discard", rules.discard, name="rules-discard"),
    path("tried/<str:rule_set>/<str:edition>/", rules.tried, name="rules-tried"),
]
