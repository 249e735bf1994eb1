"""A key may be bound to one device."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("api", "0008_devices_with_history")]

    operations = [
        migrations.AddField("token", "device", models.ForeignKey(blank=True, help_text="The one device whose readings it sends; none for a program's.", null=True, on_delete=django.db.models.deletion.PROTECT, related_name="keys", to="api.device")),
    ]
