from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("catalog", "0013_american_names")]

    operations = [
        migrations.AddField(
            model_name="firm", name="logo", field=models.TextField(blank=True, default=""), preserve_default=False
        ),
        migrations.AddField(
            model_name="firm",
            name="color",
            field=models.CharField(blank=True, default="", max_length=7, verbose_name="your color"),
            preserve_default=False,
        ),
    ]
