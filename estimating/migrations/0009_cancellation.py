from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("estimating", "0008_if_we_find")]

    operations = [
        migrations.AddField(
            model_name="job",
            name="signing_place",
            field=models.CharField(
                choices=[
                    ("home", "At the client's home, or on the client's own page"),
                    ("elsewhere", "At another place that isn't mine"),
                    ("ours", "At my own place of business"),
                ],
                default="home",
                max_length=9,
                verbose_name="where the estimate is signed",
            ),
        ),
        migrations.AlterField(
            model_name="documentevent",
            name="kind",
            field=models.CharField(
                choices=[
                    ("issued", "Issued"),
                    ("sent", "Sent"),
                    ("opened", "Opened"),
                    ("accepted", "Accepted"),
                    ("declined", "Declined"),
                    ("question", "Asked"),
                    ("answered", "Answered"),
                    ("unlinked", "Link withdrawn"),
                    ("copied", "Signed copy kept"),
                    ("expired", "Expired"),
                    ("extended", "Extended"),
                    ("withdrawn", "Withdrawn"),
                    ("superseded", "Replaced"),
                    ("canceled", "Canceled"),
                ],
                max_length=10,
            ),
        ),
    ]
