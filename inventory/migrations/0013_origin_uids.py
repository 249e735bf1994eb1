from typing import Any

import uuid6
from django.db import migrations, models

MODELS = ("line", "cross", "plot")
AT_ONCE = 500


def give_each_row_its_own(apps: Any, _schema: Any) -> None:
    """Give a number to rows that were there before: a default alone would give them all the same."""
    for name in MODELS:
        model = apps.get_model("inventory", name)
        rows = list(model.objects.filter(uid__isnull=True).order_by("pk").only("pk"))
        for row in rows:
            row.uid = uuid6.uuid7()
        model.objects.bulk_update(rows, ["uid"], batch_size=AT_ONCE)


class Migration(migrations.Migration):
    dependencies = [("inventory", "0012_sheet_draft")]

    operations = [
        *(migrations.AddField(name, "uid", models.UUIDField(null=True, editable=False)) for name in MODELS),
        migrations.RunPython(give_each_row_its_own, migrations.RunPython.noop),
        *(
            migrations.AlterField(name, "uid", models.UUIDField(default=uuid6.uuid7, unique=True, editable=False))
            for name in MODELS
        ),
    ]
