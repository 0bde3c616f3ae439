"""Several assemblies can be ways to one end, and stand for each other where one is asked for."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("catalog", "0008_joint_measures")]

    operations = [
        migrations.AddField(
            model_name="assembly",
            name="purpose",
            field=models.CharField(blank=True, max_length=60, verbose_name="one of several ways to"),
        ),
    ]
