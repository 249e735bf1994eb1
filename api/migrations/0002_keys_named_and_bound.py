"""Keys get a name, a station and an end; those that there are keep what they open."""

import django.db.models.deletion
import uuid6
from django.db import migrations, models


def _name_those_there_are(apps, schema_editor):  # noqa: ARG001 - the framework's signature
    for token in apps.get_model("api", "Token").objects.all():
        token.uid = uuid6.uuid7()
        token.save(update_fields=["uid"])


class Migration(migrations.Migration):
    dependencies = [
        ("api", "0001_token"),
        ("inventory", "0012_sheet_draft"),
    ]

    operations = [
        migrations.AddField("token", "begins", models.CharField(blank=True, default="", help_text="How its secret begins, to tell keys apart.", max_length=16), preserve_default=False),
        migrations.AddField("token", "name", models.CharField(blank=True, default="", help_text="The program or device that holds it.", max_length=80), preserve_default=False),
        migrations.AddField("token", "revoked_at", models.DateTimeField(blank=True, null=True)),
        migrations.AddField("token", "station", models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name="+", to="inventory.station")),
        migrations.AlterField("token", "scopes", models.CharField(help_text="Joined with commas: read, write, lots:read …", max_length=400)),
        migrations.AddField("token", "uid", models.UUIDField(editable=False, null=True)),
        migrations.RunPython(_name_those_there_are, migrations.RunPython.noop),
        migrations.AlterField("token", "uid", models.UUIDField(default=uuid6.uuid7, editable=False, unique=True)),
    ]
