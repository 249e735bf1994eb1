"""Devices are changed and ended, readings are read again; what was read before gets its station and its number."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

from inventory.models.triggers import lifted


def _fill(apps, schema_editor):
    """Give each parse its reading's station, and each device its first state; the one place where these rows change."""
    parse, change = apps.get_model("api", "ReadingParse"), apps.get_model("api", "DeviceChange")
    stations = apps.get_model("api", "Reading").objects.filter(pk=models.OuterRef("reading_id")).values("station_id")
    with lifted(schema_editor.connection):
        parse.objects.filter(station__isnull=True).update(station_id=models.Subquery(stations[:1]))
        if schema_editor.connection.vendor == "postgresql":
            # Checks that wait for the end of the transaction would bar what follows from altering the table.
            schema_editor.execute("SET CONSTRAINTS ALL IMMEDIATE")
    for one in apps.get_model("api", "Device").objects.filter(changes__isnull=True):
        change.objects.create(
            station_id=one.station_id, device=one, at=one.made_at, by_id=one.by_id, name=one.name, driver=one.driver, unit=one.unit
        )


class Migration(migrations.Migration):
    dependencies = [
        ("api", "0007_webhooks"),
        ("inventory", "0015_field_note"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AddField("device", "ended_at", models.DateTimeField(blank=True, help_text="Nothing that it sent since is read.", null=True)),
        migrations.CreateModel(
            name="DeviceChange",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("at", models.DateTimeField()),
                ("name", models.CharField(max_length=80)),
                ("driver", models.CharField(max_length=80)),
                ("unit", models.CharField(blank=True, max_length=8)),
                ("is_ended", models.BooleanField(default=False)),
                ("by", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL)),
                ("device", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="changes", to="api.device")),
                ("station", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="+", to="inventory.station")),
            ],
        ),
        migrations.AlterField("readingparse", "reading", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="parses", to="api.reading")),
        migrations.AddField("readingparse", "number", models.PositiveSmallIntegerField(default=1, help_text="Counted within its reading.")),
        migrations.AddField("readingparse", "station", models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name="+", to="inventory.station")),
        migrations.RunPython(_fill, migrations.RunPython.noop),
        migrations.AlterField("readingparse", "station", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="+", to="inventory.station")),
        migrations.AddConstraint("readingparse", models.UniqueConstraint(fields=("reading", "number"), name="a_parse_once")),
    ]
