from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("estimating", "0042_tile_up_to"),
    ]

    operations = [
        migrations.AddField(
            model_name="room",
            name="framing",
            field=models.JSONField(blank=True, default=dict, verbose_name="studs and ceiling joists"),
        ),
    ]
