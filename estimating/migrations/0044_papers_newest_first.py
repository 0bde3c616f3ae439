"""Indexes that hold all that a search for papers asks, so that their long rows aren't read for it."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("estimating", "0043_studs_and_ceiling_joists"),
    ]

    operations = [
        migrations.AddIndex(
            model_name="document",
            index=models.Index(
                fields=["issued_at", "id", "job", "kind", "number", "dated"], name="documents_newest_first"
            ),
        ),
        migrations.AddIndex(
            model_name="document",
            index=models.Index(
                fields=["job", "issued_at", "kind", "dated", "number"], name="documents_of_a_job"
            ),
        ),
        migrations.AddIndex(
            model_name="document",
            index=models.Index(fields=["dated", "kind", "job", "issued_at"], name="documents_by_date"),
        ),
        migrations.RemoveIndex(model_name="document", name="documents_of_a_day"),
        migrations.RemoveIndex(model_name="document", name="documents_in_order"),
    ]
