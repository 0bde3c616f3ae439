"""Move hours and receipts of changes that are billed by them to those of all jobs: one place for both."""

from django.apps.registry import Apps
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor


def carry_over(apps: Apps, editor: BaseDatabaseSchemaEditor) -> None:
    for name in ("HoursWorked", "ReceiptKept"):
        old, new = apps.get_model("invoicing", name), apps.get_model("jobsite", name)
        names = [field.attname for field in old._meta.concrete_fields if not field.primary_key]
        there = set(new.objects.values_list("pk", "document"))  # where this was undone and is done again
        rows = old.objects.select_related("document").order_by("on", "pk")
        new.objects.bulk_create(
            new(job_id=row.document.job_id, **{name: getattr(row, name) for name in names})
            for row in rows
            if (row.pk, row.document_id) not in there
        )


def carry_back(apps: Apps, editor: BaseDatabaseSchemaEditor) -> None:
    for name in ("HoursWorked", "ReceiptKept"):
        old, new = apps.get_model("invoicing", name), apps.get_model("jobsite", name)
        names = [field.attname for field in old._meta.concrete_fields]
        rows = new.objects.filter(document__kind="change_order")
        if name == "HoursWorked":
            rows = rows.filter(key="")
        old.objects.bulk_create(old(**{name: getattr(row, name) for name in names}) for row in rows)


class Migration(migrations.Migration):
    dependencies = [
        ("jobsite", "0002_hours_and_receipts"),
        ("invoicing", "0010_returned_checks_and_parts"),
    ]

    operations = [
        migrations.RunPython(carry_over, carry_back),
        migrations.DeleteModel("HoursWorked"),
        migrations.DeleteModel("ReceiptKept"),
    ]
