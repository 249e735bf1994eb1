"""Addresses of the bench."""

from django.urls import path

from grading.pages import prints

urlpatterns = [
    path("papers/", prints.papers, name="bench-papers"),
    path("papers/report.pdf", prints.report, name="grade-report"),
    path("papers/tags/", prints.print_tags, name="print-sample-tags"),
    path("papers/tags/<int:number>.pdf", prints.tags, name="sample-tags"),
]
