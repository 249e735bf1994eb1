"""Photographs of the pan: attached to a sample with hash and who, served to whoever is signed in, held in a backup."""

import hashlib
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from grading.models import PanPhoto, PhotoBytes
from grading.queries.checking import record_differences
from inventory.models import Operation
from inventory.queries.backing_up import back_up
from inventory.queries.verifying import verify
from tests.grading.importing.test_photos import picture
from tests.grading.pages.bench import a_bench, drawn, text
from tests.grading.station import Bench

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench(client: Client) -> Bench:
    made = a_bench()
    drawn(made)
    client.force_login(made.plant.bench)
    return made


def send(client: Client, content: bytes, key: str = "k", name: str = "pan.jpg"):
    return client.post("/bench/samples/G01/photo", {"key": key, "photo": SimpleUploadedFile(name, content)})


def test_a_photograph_stands_at_its_sample_with_hash_and_who(client: Client, bench: Bench) -> None:
    assert send(client, picture(2000, 1500)).status_code == 302
    kept = PanPhoto.objects.get()
    assert (kept.width, kept.height, kept.operation.kind) == (1600, 1200, "attach")
    said = text(client.get("/bench/samples/G01/"))
    assert f"SHA-256 {kept.sha256[:12]}" in said
    assert "bench-qm" in said
    answer = client.get(f"/bench/photos/{kept.sha256}.jpg")
    assert answer.headers["Content-Type"] == "image/jpeg"
    assert hashlib.sha256(answer.content).hexdigest() == kept.sha256
    assert verify(bench.plant.station).is_whole


@pytest.mark.parametrize("content", [b"", b"not a photograph", b"%PDF-1.7"])
def test_a_photograph_that_is_none_is_refused_with_a_sentence(client: Client, bench: Bench, content: bytes) -> None:
    answer = send(client, content)
    assert answer.status_code == 422
    assert "Nothing was saved yet" in text(answer)
    assert not Operation.objects.filter(kind="attach").exists()


def test_a_form_without_a_file_says_so(client: Client, bench: Bench) -> None:
    answer = client.post("/bench/samples/G01/photo", {"key": "k", "photo": "words"})
    assert answer.status_code == 422
    assert "No photograph was chosen" in text(answer)


def test_a_file_that_is_larger_than_a_photograph_is_refused_with_its_size(client: Client, bench: Bench) -> None:
    answer = send(client, b"\0" * (13 * 1024**2))
    assert answer.status_code == 422
    assert "The file has 13.0 MB; a photograph may have 12." in text(answer)


def test_the_same_photograph_sent_twice_is_one_act_and_kept_once(client: Client, bench: Bench) -> None:
    for _ in range(2):
        assert send(client, picture()).status_code == 302
    assert PanPhoto.objects.count() == PhotoBytes.objects.count() == 1
    send(client, picture(), key="k2")
    assert (PanPhoto.objects.count(), PhotoBytes.objects.count()) == (2, 1)


def test_a_photograph_that_was_changed_or_lost_is_found(client: Client, bench: Bench) -> None:
    send(client, picture())
    assert record_differences(bench.plant.station) == []
    PhotoBytes.objects.update(content=b"another")
    assert "is not the one that was attached" in record_differences(bench.plant.station)[0].says
    PhotoBytes.objects.all().delete()
    assert "is gone" in record_differences(bench.plant.station)[0].says


def test_nobody_signed_out_sees_it_and_no_other_hash_is_answered(client: Client, bench: Bench) -> None:
    send(client, picture())
    mark = PanPhoto.objects.get().sha256
    assert client.get(f"/bench/photos/{'0' * 64}.jpg").status_code == 404
    client.logout()
    assert client.get(f"/bench/photos/{mark}.jpg").status_code == 302


def test_a_backup_holds_its_bytes(client: Client, bench: Bench, tmp_path: Path) -> None:
    send(client, picture())
    manifest = back_up(tmp_path / "all.zip")
    assert {table.name: table.rows for table in manifest.tables}["grading_photobytes"] == 1
