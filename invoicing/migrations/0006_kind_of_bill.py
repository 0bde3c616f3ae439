"""What a bill is for is its kind, as that of a document is."""

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("invoicing", "0005_credit_put_on_an_invoice")]

    operations = [migrations.RenameField("billdraft", "what", "kind")]
