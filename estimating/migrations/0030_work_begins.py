from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("estimating", "0029_photos_of_an_estimate")]

    operations = [
        migrations.AddField(
            model_name="job",
            name="work_begins_on",
            field=models.DateField(blank=True, null=True, verbose_name="work begins on"),
        ),
    ]
