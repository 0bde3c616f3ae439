"""A row of money may put credit that is held on an invoice."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("invoicing", "0004_late_charges")]

    operations = [
        migrations.AlterField(
            model_name="payment",
            name="kind",
            field=models.CharField(
                choices=[
                    ("payment", "Payment"),
                    ("return", "Payment taken back"),
                    ("refund", "Refund"),
                    ("put", "Credit used"),
                ],
                default="payment",
                max_length=7,
            ),
        ),
    ]
