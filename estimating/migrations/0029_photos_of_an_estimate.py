"""Photos of what was opened become photos of the estimate, each printed or not."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("estimating", "0028_words_of_the_trade")]

    operations = [
        migrations.RemoveConstraint("openedphoto", "an_opened_photo_once"),
        migrations.RenameModel("OpenedPhoto", "EstimatePhoto"),
        migrations.AlterField(
            "estimatephoto",
            "estimate",
            models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE, related_name="photos", to="estimating.estimate"
            ),
        ),
        migrations.AddField(
            "estimatephoto", "is_opened", models.BooleanField("of what was opened", default=True)
        ),
        migrations.AlterField(
            "estimatephoto", "is_opened", models.BooleanField("of what was opened", default=False)
        ),
        migrations.AddField(
            "estimatephoto", "is_printed", models.BooleanField("on the estimate", default=True)
        ),
        migrations.AddConstraint(
            "estimatephoto",
            models.UniqueConstraint(fields=["estimate", "sha256"], name="an_estimate_photo_once"),
        ),
    ]
