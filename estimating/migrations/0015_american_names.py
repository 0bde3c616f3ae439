"""Columns take the spelling and the words of the pages: labor, requested."""

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("estimating", "0014_tax_rates_of_four_decimals")]

    operations = [
        migrations.RenameField("estimate", "labour_rate", "labor_rate"),
        migrations.RenameField("estimate", "labour_rate_currency", "labor_rate_currency"),
        migrations.RenameField("estimate", "labour_markup", "labor_markup"),
        migrations.RenameField("allowance", "covers_labour", "covers_labor"),
        migrations.RenameField("job", "asked_on", "requested_on"),
        migrations.AlterModelOptions("job", {"ordering": ["-requested_on", "-pk"]}),
    ]
