

from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('estimating', '0040_choices'),
        ('jobsite', '0010_before_and_after'),
    ]

    operations = [
        migrations.RemoveConstraint(
            model_name='choice',
            name='one_choice_of_an_allowance',
        ),
        migrations.AddField(
            model_name='choice',
            name='withdrawn_at',
            field=models.DateTimeField(blank=True, null=True),
        ),
        migrations.AddConstraint(
            model_name='choice',
            constraint=models.UniqueConstraint(condition=models.Q(('document__isnull', False), ('withdrawn_at', None)), fields=('document', 'key'), name='one_choice_of_an_allowance'),
        ),
    ]
