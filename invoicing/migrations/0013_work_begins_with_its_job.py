from django.apps.registry import Apps
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor


def move_days(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    """Keep with the job the day that was set with its payments, where its page of days says no other."""
    jobs = apps.get_model("estimating", "Job").objects
    for row in apps.get_model("invoicing", "PaymentPlan").objects.exclude(starts_on=None):
        jobs.filter(pk=row.job_id, work_begins_on=None).update(work_begins_on=row.starts_on)


class Migration(migrations.Migration):
    dependencies = [
        ("invoicing", "0012_words_of_the_trade"),
        ("jobsite", "0005_work_begins_with_its_job"),
    ]

    operations = [
        migrations.RunPython(move_days, migrations.RunPython.noop),
        migrations.RemoveField(model_name="paymentplan", name="starts_on"),
    ]
