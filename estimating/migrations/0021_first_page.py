from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("estimating", "0020_first_step_ticks")]

    operations = [
        migrations.AddField(
            model_name="estimate",
            name="show_trips",
            field=models.BooleanField(default=False, verbose_name="show trips as a line of their own"),
        ),
        migrations.AddField(
            model_name="estimate",
            name="summary",
            field=models.TextField(
                blank=True, default="", max_length=600, verbose_name="what it is about, in two sentences"
            ),
            preserve_default=False,
        ),
        migrations.AddField(
            model_name="estimate",
            name="letter",
            field=models.TextField(
                blank=True, default="", max_length=2000, verbose_name="a few words to the client, before the work"
            ),
            preserve_default=False,
        ),
    ]
