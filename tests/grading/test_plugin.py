"""Grading as a plugin of the site: facts, boxes, and proof of its records."""

import pytest
from django.db import connection

from grading.models import Portion
from hilum.plugins.host import the_host
from inventory.models import triggers
from tests.grading.station import benched, row_of, station, table

pytestmark = pytest.mark.django_db


def test_the_host_asks_grading_for_facts_and_boxes() -> None:
    bench = station()
    bench.lots("24-0016-5")
    bench.bench(benched(row_of(table("samples"), "G03")))
    assert the_host().lot_facts(["24-0016-5"], "QM")["24-0016-5"]["last_grade"] == "No. 1"
    assert [panel.title for panel in the_host().lot_panels("24-0016-5", "QM")] == ["Grade", "Germination"]
    assert the_host().check_records("QM") == ()


def test_a_rule_set_that_is_gone_is_a_difference() -> None:
    bench = station()
    bench.lots("24-0016-5")
    bench.bench(benched(row_of(table("samples"), "G03")))
    with triggers.lifted(connection):
        Portion.objects.update(edition="0")
    [difference] = the_host().check_records("QM")
    assert (difference.code, difference.where) == ("rule_set_gone", "QM-DEMO")


def test_a_sample_that_says_another_mass_than_left_its_lot_is_a_difference() -> None:
    bench = station()
    bench.lots("24-0016-5")
    bench.bench(benched(row_of(table("samples"), "G03")))
    with triggers.lifted(connection):
        Portion.objects.get().sample.__class__.objects.update(drawn_mg=1)
    [difference] = the_host().check_records("QM")
    assert difference.says == "G03 says 1 mg, but 2000000 mg left its lot for it."
