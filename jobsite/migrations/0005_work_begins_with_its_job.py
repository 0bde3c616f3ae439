from django.apps.registry import Apps
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor


def move_days(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    """Keep with the job the day that was set on its page of days."""
    jobs = apps.get_model("estimating", "Job").objects
    for row in apps.get_model("jobsite", "JobDays").objects.exclude(not_before=None):
        jobs.filter(pk=row.job_id).update(work_begins_on=row.not_before)


class Migration(migrations.Migration):
    dependencies = [
        ("estimating", "0030_work_begins"),
        ("jobsite", "0004_words_of_the_trade"),
    ]

    operations = [
        migrations.RunPython(move_days, migrations.RunPython.noop),
        migrations.RemoveField(model_name="jobdays", name="not_before"),
    ]
