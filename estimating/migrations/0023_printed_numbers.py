"""What stands before a printed number. Papers that were issued keep what they printed."""

import json

from django.apps.registry import Apps
from django.db import migrations, models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

from estimating.documents.write_protection import without_triggers


def read_prefixes(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    """Take the prefix from each paper, where a database went back to the columns before it."""
    documents = apps.get_model("estimating", "Document").objects.filter(kind__in=("invoice", "credit_note"))
    prefixes = {
        key: json.loads(snapshot)["number"].removesuffix(f"{number}")
        for key, number, snapshot in documents.values_list("pk", "number", "snapshot")
    }
    if any(prefixes.values()):
        with without_triggers(schema_editor.connection):
            for key, prefix in prefixes.items():
                documents.filter(pk=key).update(prefix=prefix)


class Migration(migrations.Migration):
    dependencies = [("estimating", "0022_job_page")]

    operations = [
        migrations.AddField(
            model_name="document",
            name="prefix",
            field=models.CharField(blank=True, db_default="", default="", max_length=4),
        ),
        migrations.RunPython(read_prefixes, migrations.RunPython.noop),
    ]
