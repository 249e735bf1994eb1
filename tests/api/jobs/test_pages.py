"""The page on which a person sees long work, fetches its file and ends it."""

import re
from pathlib import Path
from typing import Any

import pytest
from django.test import Client

from api.jobs.asking import ask_job
from api.jobs.doing import do_next_job
from api.jobs.models import CANCELLED, DONE, WORKING, Job
from tests.make import NOW, House, house, received

pytestmark = pytest.mark.django_db
PAGE = "/connections/jobs/"
NOT_YOURS = "This job is not one of yours, or it was forgotten already."


@pytest.fixture
def plant(settings: Any, tmp_path: Path) -> House:
    settings.DATA_DIR = tmp_path
    return house()


def at(plant: House, role: str) -> Client:
    client = Client()
    client.force_login(plant.people[role])
    return client


def asked_for(plant: House) -> Job:
    return ask_job("export", {"list": "lots", "format": "csv"}, station=plant.station, by=plant.breeder, now=NOW)


def end(client: Client, uid: object, status: int = 200) -> str:
    page = client.post(PAGE, {"end": uid})
    assert page.status_code == status
    return page.content.decode().replace("&#x27;", "'")


@pytest.mark.parametrize("typed", ["", "-" * 36, "0" * 32, "nothing\0"])
def test_a_button_of_no_job_is_said(plant: House, typed: str) -> None:
    assert NOT_YOURS in end(at(plant, "breeder"), typed, 422)


def test_a_job_says_how_far_it_is_and_its_file_is_fetched(plant: House) -> None:
    lot = received(plant)
    job, breeder = asked_for(plant), at(plant, "breeder")
    assert "waiting" in breeder.get(PAGE).content.decode()
    Job.objects.update(state=WORKING, percent=40)
    assert "working, 40 %" in breeder.get(PAGE).content.decode()
    Job.objects.update(state="waiting", percent=0)
    do_next_job(is_beaten=False)
    page = breeder.get(PAGE).content.decode()
    where = re.findall(r'href="([^"]+)">lots\.csv', page)[0]
    assert lot.number in b"".join(breeder.get(where)).decode()
    assert "forgotten, with its file" in end(breeder, job.uid)
    assert breeder.get(where).status_code == 404


def test_what_waits_is_cancelled_and_what_is_worked_on_is_told_to_stop(plant: House) -> None:
    breeder, job = at(plant, "breeder"), asked_for(plant)
    assert "It is cancelled." in end(breeder, job.uid)
    assert Job.objects.get().state == CANCELLED
    Job.objects.update(state=WORKING)
    assert "It stops at its next step." in end(breeder, job.uid)
    assert Job.objects.get().is_to_stop


def test_records_see_and_cancel_the_stations_jobs_but_a_file_is_its_owners_alone(plant: House) -> None:
    job = asked_for(plant)
    for others in (at(plant, "intake"), at(house("OT"), "records")):
        assert str(job.uid) not in others.get(PAGE).content.decode()
        assert NOT_YOURS in end(others, job.uid, 422)
    records = at(plant, "records")
    assert str(job.uid) in records.get(PAGE).content.decode()
    do_next_job(is_beaten=False)
    assert Job.objects.get().state == DONE
    assert records.get(f"{PAGE}{job.uid}/file").status_code == 404
    assert "its file is breeder" in end(records, job.uid, 422)
    second = asked_for(plant)
    assert "It is cancelled." in end(records, second.uid)


def test_the_page_asks_no_more_with_many_jobs_than_with_few(plant: House, django_assert_max_num_queries) -> None:
    for _ in range(12):
        asked_for(plant)
    records = at(plant, "records")
    with django_assert_max_num_queries(10):
        records.get(PAGE)
