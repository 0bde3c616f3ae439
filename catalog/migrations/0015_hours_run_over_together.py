from decimal import Decimal

import django.core.validators
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("catalog", "0014_letterhead"),
    ]

    operations = [
        migrations.AddField(
            model_name="firm",
            name="hours_together_percent",
            field=models.DecimalField(
                decimal_places=2,
                default=Decimal(30),
                max_digits=5,
                validators=[
                    django.core.validators.MinValueValidator(0),
                    django.core.validators.MaxValueValidator(100),
                ],
                verbose_name="how far hours run over together, %",
            ),
        ),
    ]
