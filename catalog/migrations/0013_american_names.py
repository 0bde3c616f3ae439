"""Columns take the spelling and the words of the pages: labor, license, paper size."""

from django.apps.registry import Apps
from django.db import migrations, models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

OLD, NEW = "deduct_labour", "deduct_labor"


def _rename_key(apps: Apps, old: str, new: str) -> None:
    """Rename a key of the values that an assembly was last supplied with."""
    assemblies = apps.get_model("catalog", "Assembly")
    for assembly in assemblies.objects.exclude(shipped=None).only("shipped"):
        if old in assembly.shipped:
            assembly.shipped = {new if key == old else key: value for key, value in assembly.shipped.items()}
            assembly.save(update_fields=["shipped"])


def forward(apps: Apps, editor: BaseDatabaseSchemaEditor) -> None:
    _rename_key(apps, OLD, NEW)


def back(apps: Apps, editor: BaseDatabaseSchemaEditor) -> None:
    _rename_key(apps, NEW, OLD)


class Migration(migrations.Migration):
    dependencies = [("catalog", "0012_tax_rates_of_four_decimals")]

    operations = [
        migrations.RenameField("assembly", OLD, NEW),
        migrations.RunPython(forward, back),
        migrations.RenameField("firm", "licence", "license"),
        migrations.RenameField("firm", "labour_rate", "labor_rate"),
        migrations.RenameField("firm", "labour_rate_currency", "labor_rate_currency"),
        migrations.RenameField("firm", "labour_markup", "labor_markup"),
        migrations.RenameField("firm", "code_above", "code_required_above"),
        migrations.RenameField("firm", "code_above_currency", "code_required_above_currency"),
        migrations.RenameField("firm", "paper", "paper_size"),
        migrations.AlterField(
            "firm",
            "paper_size",
            models.CharField(
                "paper", choices=[("letter", "US Letter"), ("a4", "A4")], default="letter", max_length=6
            ),
        ),
    ]
