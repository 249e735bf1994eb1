"""Addresses of the bench."""

from django.urls import path

from grading.pages import figures, graders, lab, looks, pan, photos, prints, recleaning, samples, tray

urlpatterns = [
    path("figures/", figures.figures, name="figures"),
    path("figures/<slug:name>/", figures.figure, name="figure"),
    path("graders/", graders.graders, name="graders"),
    path("looks/<str:number>/", looks.looks, name="looks"),
    path("pan/", pan.pan_door, name="pan"),
    path("pan/<str:number>/", pan.pan, name="pan-of"),
    path("pan/<str:number>/look", pan.look, name="pan-look"),
    path("recleaning/", recleaning.recleaning, name="recleaning"),
    path("tray/", tray.tray, name="tray"),
    path("samples/", samples.samples, name="samples"),
    path("samples/<str:number>/", samples.sample, name="sample"),
    path("samples/<str:number>/photo", photos.attach, name="attach-photo"),
    path("photos/<slug:mark>.jpg", photos.photo, name="photo"),
    path("file-samples/", samples.file_samples, name="file-samples"),
    path("tests/", lab.tests, name="tests"),
    path("tests/of/<str:number>/", lab.results, name="lab-results"),
    path("tests/<slug:kind>/", lab.enter, name="lab"),
    path("papers/", prints.papers, name="bench-papers"),
    path("papers/report.pdf", prints.report, name="grade-report"),
    path("papers/tags/", prints.print_tags, name="print-sample-tags"),
    path("papers/tags/<int:number>.pdf", prints.tags, name="sample-tags"),
]
