"""Addresses of the pages about programs and devices."""

from django.urls import path

from api.connections import connections
from api.jobs.pages import job_file, jobs
from api.readings.pages import devices
from api.readings.taking import take_reading
from api.webhooks.pages import webhooks

urlpatterns = [
    path("", connections, name="connections"),
    path("devices/", devices, name="devices"),
    path("scales/<str:verb>/<str:field>", take_reading, name="take-reading"),
    path("webhooks/", webhooks, name="webhooks"),
    path("jobs/", jobs, name="jobs"),
    path("jobs/<uuid:uid>/file", job_file, name="job-file"),
]
