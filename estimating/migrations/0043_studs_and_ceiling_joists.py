from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("estimating", "0041_cabinets_joists_and_walls"),
    ]

    operations = [
        migrations.AddField(
            model_name="room",
            name="framing",
            field=models.JSONField(blank=True, default=dict, verbose_name="studs and ceiling joists"),
        ),
    ]
