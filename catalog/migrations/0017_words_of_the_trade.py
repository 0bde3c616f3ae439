"""The trade's words: kits, deduct, demolition, labor cost. Sources that the program wrote say them, too."""

import django.core.validators
import django.db.models.deletion
import djmoney.models.fields
import djmoney.money
from django.apps.registry import Apps
from django.db import migrations, models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.models import F, Value
from django.db.models.functions import Concat, Substr

WAS, IS = "Your own figures. Those shipped came from: ", "Your own numbers. Those supplied came from: "


def say_supplied(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    for model in ("Material", "Operation", "Assembly", "Component"):
        apps.get_model("catalog", model).objects.filter(source__startswith=WAS).update(
            source=Concat(Value(IS), Substr(F("source"), len(WAS) + 1))
        )


class Migration(migrations.Migration):
    dependencies = [("catalog", "0016_where_an_operation_works")]

    operations = [
        migrations.RemoveConstraint("bundleline", "one_line_of_an_assembly"),
        migrations.RenameModel("Bundle", "Kit"),
        migrations.RenameModel("BundleLine", "KitLine"),
        migrations.RenameField("kitline", "bundle", "kit"),
        migrations.AlterModelOptions("kitline", {"ordering": ["kit", "position", "pk"]}),
        migrations.AlterField(
            model_name='assembly',
            name='deduct_labor',
            field=models.CharField(choices=[('firm', 'As the firm does'), ('all', 'Deduct every opening at its own size'), ('above', 'Deduct only openings of at least a size'), ('none', 'Deduct no openings')], default='firm', max_length=5, verbose_name='openings, for labor'),
        ),
        migrations.AlterField(
            model_name='assembly',
            name='deduct_material',
            field=models.CharField(choices=[('firm', 'As the firm does'), ('all', 'Deduct every opening at its own size'), ('above', 'Deduct only openings of at least a size'), ('none', 'Deduct no openings')], default='firm', max_length=5, verbose_name='openings, for material'),
        ),
        migrations.AlterField(
            model_name='assembly',
            name='measure',
            field=models.CharField(choices=[('floor', 'Floor'), ('ceiling', 'Ceiling'), ('wall_gross', 'Walls, openings not deducted'), ('wall_net', 'Walls'), ('floor_perimeter', 'Floor perimeter'), ('ceiling_line', 'Ceiling line'), ('base', 'Base'), ('inside_corner', 'Inside corners, length'), ('outside_corner', 'Outside corners, length'), ('opening_trim', 'Opening trim'), ('cut_in', 'Cut-in'), ('inside_corners', 'Inside corners'), ('outside_corners', 'Outside corners'), ('doors', 'Doors'), ('windows', 'Windows'), ('device_boxes', 'Device boxes'), ('ceiling_lights', 'Ceiling lights'), ('rooms', 'Rooms'), ('sheets', 'Sheets'), ('cut_pieces', 'Cut pieces'), ('joint', 'Joints between sheets'), ('butt_joint', 'Butt joints'), ('tapered_joint', 'Tapered joints'), ('fasteners', 'Fasteners'), ('joint_volume', 'Joint filler'), ('each', 'Count'), ('length', 'Length'), ('area', 'Area')], max_length=20, verbose_name='priced by'),
        ),
        migrations.AlterField(
            model_name='assembly',
            name='phase',
            field=models.CharField(choices=[('protect', 'Protect and set up'), ('take_out', 'Demolition'), ('rough', 'Rough carpentry'), ('board', 'Drywall and backer'), ('finish', 'Tape, tile and paint'), ('floor', 'Floor'), ('set', 'Cabinets and fixtures'), ('trim', 'Trim'), ('close', 'Clean-up and punch')], max_length=10),
        ),
        migrations.AlterField(
            model_name='assembly',
            name='source',
            field=models.TextField(blank=True, max_length=1000, verbose_name='where its numbers come from'),
        ),
        migrations.AlterField(
            model_name='assembly',
            name='tile_offset',
            field=models.CharField(blank=True, choices=[('0', 'nothing'), ('1/2', 'half a tile'), ('1/3', 'a third of a tile')], max_length=3, verbose_name='offset of each course of tile'),
        ),
        migrations.AlterField(
            model_name='firm',
            name='change_minimum',
            field=djmoney.models.fields.MoneyField(decimal_places=2, default=djmoney.money.Money(0, 'USD'), max_digits=9, verbose_name='minimum charge of a change'),
        ),
        migrations.AlterField(
            model_name='firm',
            name='deduct_keeps_percent',
            field=models.DecimalField(decimal_places=2, default=0, max_digits=5, validators=[django.core.validators.MinValueValidator(0), django.core.validators.MaxValueValidator(100)], verbose_name='kept on deductive changes, %'),
        ),
        migrations.AlterField(
            model_name='firm',
            name='labor_rate',
            field=djmoney.models.fields.MoneyField(decimal_places=2, default=djmoney.money.Money(0, 'USD'), max_digits=9, verbose_name='labor cost an hour'),
        ),
        migrations.AlterField(
            model_name='firm',
            name='minimum_charge',
            field=djmoney.models.fields.MoneyField(decimal_places=2, default=djmoney.money.Money(0, 'USD'), max_digits=9, verbose_name='minimum charge for a job'),
        ),
        migrations.AlterField(
            model_name='firm',
            name='openings',
            field=models.CharField(choices=[('all', 'Deduct every opening at its own size'), ('above', 'Deduct only openings of at least a size'), ('none', 'Deduct no openings')], default='all', max_length=5),
        ),
        migrations.AlterField(
            model_name='firm',
            name='openings_above_sqft',
            field=models.DecimalField(decimal_places=2, default=0, max_digits=6, verbose_name='least opening deducted, sq ft'),
        ),
        migrations.AlterField(
            model_name='firm',
            name='stale_after_days',
            field=models.PositiveSmallIntegerField(default=90, verbose_name='prices good for, days'),
        ),
        migrations.AlterField(
            model_name='kitline',
            name='assembly',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='in_kits', to='catalog.assembly'),
        ),
        migrations.AlterField(
            model_name='material',
            name='source',
            field=models.TextField(blank=True, max_length=1000, verbose_name='where its numbers come from'),
        ),
        migrations.AlterField(
            model_name='operation',
            name='high_typed',
            field=models.CharField(blank=True, max_length=80, verbose_name='hours, worst'),
        ),
        migrations.AlterField(
            model_name='operation',
            name='low_typed',
            field=models.CharField(blank=True, max_length=80, verbose_name='hours, best'),
        ),
        migrations.AddConstraint(
            model_name='kitline',
            constraint=models.UniqueConstraint(fields=('kit', 'assembly'), name='one_line_of_an_assembly'),
        ),
        migrations.RunPython(say_supplied, migrations.RunPython.noop, elidable=True),
    ]
