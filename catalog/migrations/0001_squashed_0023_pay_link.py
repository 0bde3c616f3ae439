"""All migrations up to 0023 in one, for a new database; one that has them keeps them."""

import catalog.fields.model
import catalog.models.firm
import django.core.validators
import django.db.models.deletion
import djmoney.models.fields
import djmoney.money
from decimal import Decimal
from django.db import migrations, models

from saving.new_tables import CreateTables


class Migration(migrations.Migration):
    replaces = [
        ("catalog", "0001_initial"),
        ("catalog", "0002_ranges_order_and_shipped_values"),
        ("catalog", "0003_code_above"),
        ("catalog", "0004_terms_for_changes"),
        ("catalog", "0005_american_words"),
        ("catalog", "0006_sticks"),
        ("catalog", "0007_billing_words"),
        ("catalog", "0008_joint_measures"),
        ("catalog", "0009_purposes"),
        ("catalog", "0010_sizes_of_a_board"),
        ("catalog", "0011_how_tile_is_set"),
        ("catalog", "0012_tax_rates_of_four_decimals"),
        ("catalog", "0013_american_names"),
        ("catalog", "0014_letterhead"),
        ("catalog", "0015_hours_run_over_together"),
        ("catalog", "0016_where_an_operation_works"),
        ("catalog", "0017_words_of_the_trade"),
        ("catalog", "0018_what_cant_be_stored"),
        ("catalog", "0019_room_for_what_to_do"),
        ("catalog", "0020_prices_from_files_and_by_an_index"),
        ("catalog", "0021_warranty_on_the_work"),
        ("catalog", "0022_care_of_a_material"),
        ("catalog", "0023_pay_link"),
    ]

    initial = True

    dependencies = []

    operations = [
        CreateTables(
            [
                migrations.CreateModel(
                    name="Assembly",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("code", models.SlugField(max_length=80, unique=True)),
                        ("name", models.CharField(max_length=120, unique=True)),
                        (
                            "phase",
                            models.CharField(
                                choices=[
                                    ("protect", "Protect and set up"),
                                    ("take_out", "Demolition"),
                                    ("rough", "Rough carpentry"),
                                    ("board", "Drywall and backer"),
                                    ("finish", "Tape, tile and paint"),
                                    ("floor", "Floor"),
                                    ("set", "Cabinets and fixtures"),
                                    ("trim", "Trim"),
                                    ("close", "Clean-up and punch"),
                                ],
                                max_length=10,
                            ),
                        ),
                        (
                            "measure",
                            models.CharField(
                                choices=[
                                    ("floor", "Floor"),
                                    ("ceiling", "Ceiling"),
                                    ("wall_gross", "Walls, openings not deducted"),
                                    ("wall_net", "Walls"),
                                    ("floor_perimeter", "Floor perimeter"),
                                    ("ceiling_line", "Ceiling line"),
                                    ("base", "Base"),
                                    ("inside_corner", "Inside corners, length"),
                                    ("outside_corner", "Outside corners, length"),
                                    ("opening_trim", "Opening trim"),
                                    ("cut_in", "Cut-in"),
                                    ("inside_corners", "Inside corners"),
                                    ("outside_corners", "Outside corners"),
                                    ("doors", "Doors"),
                                    ("windows", "Windows"),
                                    ("device_boxes", "Device boxes"),
                                    ("ceiling_lights", "Ceiling lights"),
                                    ("rooms", "Rooms"),
                                    ("sheets", "Sheets"),
                                    ("cut_pieces", "Cut pieces"),
                                    ("joint", "Joints between sheets"),
                                    ("butt_joint", "Butt joints"),
                                    ("tapered_joint", "Tapered joints"),
                                    ("fasteners", "Fasteners"),
                                    ("joint_volume", "Joint filler"),
                                    ("each", "Count"),
                                    ("length", "Length"),
                                    ("area", "Area"),
                                ],
                                max_length=20,
                                verbose_name="priced by",
                            ),
                        ),
                        (
                            "purpose",
                            models.CharField(
                                blank=True, max_length=60, verbose_name="one of several ways to"
                            ),
                        ),
                        (
                            "scope",
                            models.TextField(
                                blank=True, max_length=2000, verbose_name="what the client reads"
                            ),
                        ),
                        ("caution", models.TextField(blank=True, max_length=4000)),
                        (
                            "deduct_material",
                            models.CharField(
                                choices=[
                                    ("firm", "As the firm does"),
                                    ("all", "Deduct every opening at its own size"),
                                    ("above", "Deduct only openings of at least a size"),
                                    ("none", "Deduct no openings"),
                                ],
                                default="firm",
                                max_length=5,
                                verbose_name="openings, for material",
                            ),
                        ),
                        (
                            "deduct_labor",
                            models.CharField(
                                choices=[
                                    ("firm", "As the firm does"),
                                    ("all", "Deduct every opening at its own size"),
                                    ("above", "Deduct only openings of at least a size"),
                                    ("none", "Deduct no openings"),
                                ],
                                default="firm",
                                max_length=5,
                                verbose_name="openings, for labor",
                            ),
                        ),
                        (
                            "tile_joint_nm",
                            models.BigIntegerField(blank=True, null=True, verbose_name="joint between tiles"),
                        ),
                        (
                            "tile_offset",
                            models.CharField(
                                blank=True,
                                choices=[
                                    ("0", "nothing"),
                                    ("1/2", "half a tile"),
                                    ("1/3", "a third of a tile"),
                                ],
                                max_length=3,
                                verbose_name="offset of each course of tile",
                            ),
                        ),
                        (
                            "source",
                            models.TextField(
                                blank=True, max_length=1000, verbose_name="where its numbers come from"
                            ),
                        ),
                        ("retired", models.BooleanField(default=False)),
                        ("shipped", models.JSONField(editable=False, null=True)),
                    ],
                    options={
                        "verbose_name_plural": "assemblies",
                        "ordering": ["name"],
                    },
                ),
                migrations.CreateModel(
                    name="Kit",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("code", models.SlugField(max_length=80, unique=True)),
                        ("name", models.CharField(max_length=120, unique=True)),
                        ("retired", models.BooleanField(default=False)),
                        ("shipped", models.JSONField(editable=False, null=True)),
                    ],
                    options={
                        "ordering": ["name"],
                    },
                ),
                migrations.CreateModel(
                    name="Operation",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("code", models.SlugField(max_length=80, unique=True)),
                        ("name", models.CharField(max_length=120, unique=True)),
                        ("unit", models.CharField(max_length=12, verbose_name="unit it is counted in")),
                        ("rate_typed", models.CharField(max_length=80, verbose_name="hours")),
                        ("hours_per_unit", catalog.fields.model.FractionField(max_length=80)),
                        (
                            "low_typed",
                            models.CharField(blank=True, max_length=80, verbose_name="hours, best"),
                        ),
                        (
                            "low_hours_per_unit",
                            catalog.fields.model.FractionField(blank=True, max_length=80, null=True),
                        ),
                        (
                            "high_typed",
                            models.CharField(blank=True, max_length=80, verbose_name="hours, worst"),
                        ),
                        (
                            "high_hours_per_unit",
                            catalog.fields.model.FractionField(blank=True, max_length=80, null=True),
                        ),
                        (
                            "set_up_hours",
                            models.DecimalField(
                                decimal_places=2,
                                default=0,
                                max_digits=6,
                                validators=[django.core.validators.MinValueValidator(0)],
                                verbose_name="set-up hours",
                            ),
                        ),
                        (
                            "wait_hours",
                            models.DecimalField(
                                decimal_places=2,
                                default=0,
                                max_digits=6,
                                validators=[django.core.validators.MinValueValidator(0)],
                                verbose_name="hours it must dry or set before the next step",
                            ),
                        ),
                        (
                            "surface",
                            models.CharField(
                                blank=True,
                                choices=[
                                    ("", "What it is measured by"),
                                    ("floor", "The floor"),
                                    ("walls", "The walls"),
                                    ("ceiling", "The ceiling"),
                                    ("none", "None of them"),
                                ],
                                default="",
                                max_length=7,
                                verbose_name="what it closes while it dries",
                            ),
                        ),
                        (
                            "over_days",
                            models.CharField(
                                blank=True,
                                choices=[
                                    ("", "In one go if it must dry or set"),
                                    ("no", "In one go, on one day"),
                                    ("yes", "May go over several days"),
                                    ("daily", "A little each day"),
                                ],
                                default="",
                                max_length=5,
                                verbose_name="how its hours lie",
                            ),
                        ),
                        (
                            "source",
                            models.TextField(max_length=1000, verbose_name="where the rate comes from"),
                        ),
                        ("retired", models.BooleanField(default=False)),
                        ("shipped", models.JSONField(editable=False, null=True)),
                    ],
                    options={
                        "ordering": ["name"],
                    },
                ),
                migrations.CreateModel(
                    name="PriceColumns",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("headings", models.CharField(max_length=1000, unique=True)),
                        ("columns", models.JSONField()),
                    ],
                ),
                migrations.CreateModel(
                    name="Supplier",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("name", models.CharField(max_length=120, unique=True)),
                        ("phone", models.CharField(blank=True, max_length=40)),
                        ("note", models.TextField(blank=True, max_length=1000)),
                        ("retired", models.BooleanField(default=False)),
                    ],
                    options={
                        "ordering": ["name"],
                    },
                ),
                migrations.CreateModel(
                    name="Companion",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("reason", models.CharField(blank=True, max_length=200)),
                        (
                            "assembly",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="goes_with",
                                to="catalog.assembly",
                            ),
                        ),
                        (
                            "companion",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="asked_by",
                                to="catalog.assembly",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["assembly", "pk"],
                    },
                ),
                migrations.AddField(
                    model_name="assembly",
                    name="companions",
                    field=models.ManyToManyField(through="catalog.Companion", to="catalog.assembly"),
                ),
                migrations.CreateModel(
                    name="Firm",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("name", models.CharField(max_length=120)),
                        ("owner", models.CharField(blank=True, max_length=120)),
                        (
                            "license",
                            models.CharField(
                                blank=True, max_length=120, verbose_name="license or registration"
                            ),
                        ),
                        ("address", models.TextField(blank=True, max_length=400)),
                        ("phone", models.CharField(blank=True, max_length=40)),
                        ("email", models.EmailField(blank=True, max_length=254, verbose_name="e-mail")),
                        (
                            "units",
                            models.CharField(
                                choices=[("us", "Feet and inches"), ("metric", "Meters")],
                                default="us",
                                max_length=6,
                            ),
                        ),
                        ("logo", models.TextField(blank=True)),
                        ("color", models.CharField(blank=True, max_length=7, verbose_name="your color")),
                        (
                            "paper_size",
                            models.CharField(
                                choices=[("letter", "US Letter"), ("a4", "A4")],
                                default="letter",
                                max_length=6,
                                verbose_name="paper",
                            ),
                        ),
                        (
                            "own_pay_currency",
                            djmoney.models.fields.CurrencyField(
                                choices=[("USD", "US Dollar")], default="USD", editable=False, max_length=3
                            ),
                        ),
                        (
                            "own_pay",
                            djmoney.models.fields.MoneyField(
                                decimal_places=2,
                                default=djmoney.money.Money(0, "USD"),
                                max_digits=12,
                                verbose_name="your own pay a year",
                            ),
                        ),
                        (
                            "burden_currency",
                            djmoney.models.fields.CurrencyField(
                                choices=[("USD", "US Dollar")], default="USD", editable=False, max_length=3
                            ),
                        ),
                        (
                            "burden",
                            djmoney.models.fields.MoneyField(
                                decimal_places=2,
                                default=djmoney.money.Money(0, "USD"),
                                max_digits=12,
                                verbose_name="burden a year",
                            ),
                        ),
                        (
                            "overhead_currency",
                            djmoney.models.fields.CurrencyField(
                                choices=[("USD", "US Dollar")], default="USD", editable=False, max_length=3
                            ),
                        ),
                        (
                            "overhead",
                            djmoney.models.fields.MoneyField(
                                decimal_places=2,
                                default=djmoney.money.Money(0, "USD"),
                                max_digits=12,
                                verbose_name="overhead a year",
                            ),
                        ),
                        (
                            "profit_margin",
                            models.DecimalField(
                                decimal_places=2, default=0, max_digits=5, verbose_name="profit, % of price"
                            ),
                        ),
                        (
                            "billable_hours",
                            models.PositiveIntegerField(
                                default=1300, verbose_name="hours you can bill in a year"
                            ),
                        ),
                        (
                            "labor_rate_currency",
                            djmoney.models.fields.CurrencyField(
                                choices=[("USD", "US Dollar")], default="USD", editable=False, max_length=3
                            ),
                        ),
                        (
                            "labor_rate",
                            djmoney.models.fields.MoneyField(
                                decimal_places=2,
                                default=djmoney.money.Money(0, "USD"),
                                max_digits=9,
                                verbose_name="labor cost an hour",
                            ),
                        ),
                        (
                            "labor_markup",
                            catalog.fields.model.MarkupField(
                                default=catalog.models.firm.first_markup, max_length=40
                            ),
                        ),
                        (
                            "material_markup",
                            catalog.fields.model.MarkupField(
                                default=catalog.models.firm.first_markup, max_length=40
                            ),
                        ),
                        (
                            "equipment_markup",
                            catalog.fields.model.MarkupField(
                                default=catalog.models.firm.first_markup, max_length=40
                            ),
                        ),
                        (
                            "subcontract_markup",
                            catalog.fields.model.MarkupField(
                                default=catalog.models.firm.first_markup, max_length=40
                            ),
                        ),
                        (
                            "contingency_percent",
                            models.DecimalField(
                                decimal_places=2,
                                default=0,
                                max_digits=5,
                                validators=[
                                    django.core.validators.MinValueValidator(0),
                                    django.core.validators.MaxValueValidator(100),
                                ],
                                verbose_name="contingency, %",
                            ),
                        ),
                        (
                            "show_contingency",
                            models.BooleanField(
                                default=False, verbose_name="show the contingency to the client"
                            ),
                        ),
                        (
                            "minimum_charge_currency",
                            djmoney.models.fields.CurrencyField(
                                choices=[("USD", "US Dollar")], default="USD", editable=False, max_length=3
                            ),
                        ),
                        (
                            "minimum_charge",
                            djmoney.models.fields.MoneyField(
                                decimal_places=2,
                                default=djmoney.money.Money(0, "USD"),
                                max_digits=9,
                                verbose_name="minimum charge for a job",
                            ),
                        ),
                        (
                            "tax_policy",
                            models.CharField(
                                choices=[
                                    ("consumer", "I pay tax at the store; it is a cost inside material"),
                                    ("materials", "I charge tax on the price of materials"),
                                    ("everything", "I charge tax on the whole price"),
                                    ("none", "No sales tax"),
                                ],
                                default="consumer",
                                max_length=10,
                                verbose_name="sales tax",
                            ),
                        ),
                        (
                            "tax_percent",
                            models.DecimalField(
                                decimal_places=4,
                                default=0,
                                max_digits=6,
                                validators=[
                                    django.core.validators.MinValueValidator(0),
                                    django.core.validators.MaxValueValidator(30),
                                ],
                                verbose_name="sales tax, %",
                            ),
                        ),
                        (
                            "hours_per_day",
                            models.DecimalField(
                                decimal_places=2,
                                default=7,
                                max_digits=4,
                                validators=[
                                    django.core.validators.MinValueValidator(Decimal("0.5")),
                                    django.core.validators.MaxValueValidator(24),
                                ],
                                verbose_name="working hours on site in a day",
                            ),
                        ),
                        (
                            "run_hours",
                            models.DecimalField(
                                decimal_places=2,
                                default=2,
                                max_digits=4,
                                verbose_name="hours of one supply run",
                            ),
                        ),
                        (
                            "days_per_run",
                            models.PositiveSmallIntegerField(
                                default=5,
                                validators=[django.core.validators.MinValueValidator(1)],
                                verbose_name="working days that one supply run serves",
                            ),
                        ),
                        (
                            "visit_hours",
                            models.DecimalField(
                                decimal_places=2,
                                default=1,
                                max_digits=4,
                                verbose_name="hours lost on a return visit",
                            ),
                        ),
                        (
                            "hours_together_percent",
                            models.DecimalField(
                                decimal_places=2,
                                default=Decimal("30"),
                                max_digits=5,
                                validators=[
                                    django.core.validators.MinValueValidator(0),
                                    django.core.validators.MaxValueValidator(100),
                                ],
                                verbose_name="how far hours run over together, %",
                            ),
                        ),
                        (
                            "openings",
                            models.CharField(
                                choices=[
                                    ("all", "Deduct every opening at its own size"),
                                    ("above", "Deduct only openings of at least a size"),
                                    ("none", "Deduct no openings"),
                                ],
                                default="all",
                                max_length=5,
                            ),
                        ),
                        (
                            "openings_above_sqft",
                            models.DecimalField(
                                decimal_places=2,
                                default=0,
                                max_digits=6,
                                verbose_name="least opening deducted, sq ft",
                            ),
                        ),
                        (
                            "cabinets_hide_walls",
                            models.BooleanField(
                                default=False, verbose_name="leave out walls behind fixed cabinets"
                            ),
                        ),
                        (
                            "valid_days",
                            models.PositiveSmallIntegerField(
                                default=30, verbose_name="days an estimate is valid"
                            ),
                        ),
                        (
                            "code_required_above_currency",
                            djmoney.models.fields.CurrencyField(
                                choices=[("USD", "US Dollar")],
                                default="USD",
                                editable=False,
                                max_length=3,
                                null=True,
                            ),
                        ),
                        (
                            "code_required_above",
                            djmoney.models.fields.MoneyField(
                                blank=True,
                                decimal_places=2,
                                max_digits=12,
                                null=True,
                                verbose_name="ask for a mailed code to sign above",
                            ),
                        ),
                        (
                            "stale_after_days",
                            models.PositiveSmallIntegerField(
                                default=90, verbose_name="prices good for, days"
                            ),
                        ),
                        (
                            "detail",
                            models.CharField(
                                choices=[
                                    ("total", "Total only"),
                                    ("phase", "A price for each phase"),
                                    ("line", "A price for each line"),
                                ],
                                default="phase",
                                max_length=5,
                                verbose_name="prices that the client sees",
                            ),
                        ),
                        (
                            "change_markup",
                            catalog.fields.model.MarkupField(
                                default=catalog.models.firm.first_markup,
                                max_length=40,
                                verbose_name="markup on what a change buys",
                            ),
                        ),
                        (
                            "change_fee_currency",
                            djmoney.models.fields.CurrencyField(
                                choices=[("USD", "US Dollar")], default="USD", editable=False, max_length=3
                            ),
                        ),
                        (
                            "change_fee",
                            djmoney.models.fields.MoneyField(
                                decimal_places=2,
                                default=djmoney.money.Money(0, "USD"),
                                max_digits=9,
                                verbose_name="fee for each change",
                            ),
                        ),
                        (
                            "change_minimum_currency",
                            djmoney.models.fields.CurrencyField(
                                choices=[("USD", "US Dollar")], default="USD", editable=False, max_length=3
                            ),
                        ),
                        (
                            "change_minimum",
                            djmoney.models.fields.MoneyField(
                                decimal_places=2,
                                default=djmoney.money.Money(0, "USD"),
                                max_digits=9,
                                verbose_name="minimum charge of a change",
                            ),
                        ),
                        (
                            "deduct_keeps_percent",
                            models.DecimalField(
                                decimal_places=2,
                                default=0,
                                max_digits=5,
                                validators=[
                                    django.core.validators.MinValueValidator(0),
                                    django.core.validators.MaxValueValidator(100),
                                ],
                                verbose_name="kept on deductive changes, %",
                            ),
                        ),
                        (
                            "assumptions",
                            models.TextField(
                                blank=True, max_length=4000, verbose_name="assumptions on every estimate"
                            ),
                        ),
                        (
                            "exclusions",
                            models.TextField(
                                blank=True, max_length=4000, verbose_name="not included on every estimate"
                            ),
                        ),
                        (
                            "terms",
                            models.TextField(
                                blank=True, max_length=4000, verbose_name="terms on every estimate"
                            ),
                        ),
                        (
                            "warranty_months",
                            models.PositiveSmallIntegerField(
                                default=0, verbose_name="warranty on your work, months"
                            ),
                        ),
                        (
                            "tax_permit",
                            models.CharField(
                                blank=True, max_length=60, verbose_name="sales tax permit number"
                            ),
                        ),
                        (
                            "pay_within_days",
                            models.PositiveSmallIntegerField(
                                default=7, verbose_name="days until an invoice is due"
                            ),
                        ),
                        (
                            "how_to_pay",
                            models.TextField(
                                blank=True, max_length=1000, verbose_name="how to pay, on every invoice"
                            ),
                        ),
                        (
                            "pay_link",
                            models.CharField(
                                blank=True, max_length=500, verbose_name="address of your pay page"
                            ),
                        ),
                        (
                            "bank_details",
                            models.TextField(
                                blank=True, max_length=1000, verbose_name="bank details, a line each"
                            ),
                        ),
                    ],
                    options={
                        "constraints": [
                            models.CheckConstraint(condition=models.Q(("pk", 1)), name="one_firm")
                        ],
                    },
                ),
                migrations.CreateModel(
                    name="KitLine",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("position", models.PositiveSmallIntegerField(default=0)),
                        (
                            "assembly",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="in_kits",
                                to="catalog.assembly",
                            ),
                        ),
                        (
                            "kit",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="lines",
                                to="catalog.kit",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["kit", "position", "pk"],
                    },
                ),
                migrations.AddField(
                    model_name="kit",
                    name="assemblies",
                    field=models.ManyToManyField(through="catalog.KitLine", to="catalog.assembly"),
                ),
                migrations.CreateModel(
                    name="Material",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("code", models.SlugField(max_length=80, unique=True)),
                        ("name", models.CharField(max_length=120, unique=True)),
                        ("unit", models.CharField(max_length=12, verbose_name="unit it is used in")),
                        (
                            "kind",
                            models.CharField(
                                choices=[
                                    ("material", "Material"),
                                    ("equipment", "Equipment or rental"),
                                    ("subcontract", "Subcontract"),
                                ],
                                default="material",
                                max_length=12,
                            ),
                        ),
                        (
                            "taxable",
                            models.BooleanField(default=True, verbose_name="sales tax is charged on it"),
                        ),
                        ("caution", models.TextField(blank=True, max_length=4000)),
                        ("note", models.TextField(blank=True, max_length=1000)),
                        (
                            "care",
                            models.TextField(
                                blank=True, max_length=1000, verbose_name="how the client cares for it"
                            ),
                        ),
                        (
                            "source",
                            models.TextField(
                                blank=True, max_length=1000, verbose_name="where its numbers come from"
                            ),
                        ),
                        (
                            "sheet_length_nm",
                            models.BigIntegerField(blank=True, null=True, verbose_name="sheet length"),
                        ),
                        (
                            "sheet_width_nm",
                            models.BigIntegerField(blank=True, null=True, verbose_name="sheet width"),
                        ),
                        (
                            "thickness_nm",
                            models.BigIntegerField(blank=True, null=True, verbose_name="thickness"),
                        ),
                        (
                            "sizes_of",
                            models.CharField(
                                blank=True, max_length=80, verbose_name="one of several sizes of"
                            ),
                        ),
                        ("sold_in_sticks", models.BooleanField(default=False, verbose_name="sold in sticks")),
                        (
                            "stick_width_nm",
                            models.BigIntegerField(blank=True, null=True, verbose_name="width of a stick"),
                        ),
                        (
                            "keeps_days",
                            models.PositiveSmallIntegerField(
                                blank=True,
                                null=True,
                                validators=[django.core.validators.MinValueValidator(1)],
                                verbose_name="working days that it can lie on site",
                            ),
                        ),
                        ("retired", models.BooleanField(default=False)),
                        ("shipped", models.JSONField(editable=False, null=True)),
                    ],
                    options={
                        "ordering": ["name"],
                        "constraints": [
                            models.CheckConstraint(
                                condition=models.Q(
                                    models.Q(
                                        ("sheet_length_nm__isnull", True), ("sheet_width_nm__isnull", True)
                                    ),
                                    models.Q(("sheet_length_nm__gt", 0), ("sheet_width_nm__gt", 0)),
                                    _connector="OR",
                                ),
                                name="sheet_has_length_and_width",
                            ),
                            models.CheckConstraint(
                                condition=models.Q(
                                    ("stick_width_nm__isnull", True),
                                    ("stick_width_nm__gt", 0),
                                    _connector="OR",
                                ),
                                name="stick_has_width",
                            ),
                        ],
                    },
                ),
                migrations.AddField(
                    model_name="assembly",
                    name="board",
                    field=models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="laid_by",
                        to="catalog.material",
                        verbose_name="sheet it lays",
                    ),
                ),
                migrations.CreateModel(
                    name="Component",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("position", models.PositiveSmallIntegerField(default=0)),
                        (
                            "scales_with",
                            models.CharField(
                                blank=True,
                                choices=[
                                    ("floor", "Floor"),
                                    ("ceiling", "Ceiling"),
                                    ("wall_gross", "Walls, openings not deducted"),
                                    ("wall_net", "Walls"),
                                    ("floor_perimeter", "Floor perimeter"),
                                    ("ceiling_line", "Ceiling line"),
                                    ("base", "Base"),
                                    ("inside_corner", "Inside corners, length"),
                                    ("outside_corner", "Outside corners, length"),
                                    ("opening_trim", "Opening trim"),
                                    ("cut_in", "Cut-in"),
                                    ("inside_corners", "Inside corners"),
                                    ("outside_corners", "Outside corners"),
                                    ("doors", "Doors"),
                                    ("windows", "Windows"),
                                    ("device_boxes", "Device boxes"),
                                    ("ceiling_lights", "Ceiling lights"),
                                    ("rooms", "Rooms"),
                                    ("sheets", "Sheets"),
                                    ("cut_pieces", "Cut pieces"),
                                    ("joint", "Joints between sheets"),
                                    ("butt_joint", "Butt joints"),
                                    ("tapered_joint", "Tapered joints"),
                                    ("fasteners", "Fasteners"),
                                    ("joint_volume", "Joint filler"),
                                    ("each", "Count"),
                                    ("length", "Length"),
                                    ("area", "Area"),
                                ],
                                max_length=20,
                            ),
                        ),
                        ("rate_typed", models.CharField(blank=True, max_length=200, verbose_name="how much")),
                        ("rate", catalog.fields.model.FractionField(default="1/1", max_length=80)),
                        ("formula", models.CharField(blank=True, max_length=30)),
                        ("formula_inputs", models.JSONField(blank=True, default=dict)),
                        (
                            "times",
                            models.PositiveSmallIntegerField(
                                default=1,
                                validators=[django.core.validators.MinValueValidator(1)],
                                verbose_name="times (coats)",
                            ),
                        ),
                        (
                            "waste_percent",
                            models.DecimalField(
                                decimal_places=2,
                                default=0,
                                max_digits=5,
                                validators=[django.core.validators.MinValueValidator(0)],
                                verbose_name="waste, %",
                            ),
                        ),
                        (
                            "set_up",
                            models.DecimalField(
                                decimal_places=3,
                                default=Decimal("0"),
                                max_digits=10,
                                validators=[django.core.validators.MinValueValidator(0)],
                                verbose_name="fixed amount",
                            ),
                        ),
                        (
                            "set_up_per",
                            models.CharField(
                                choices=[("room", "for each room"), ("job", "once for the job")],
                                default="job",
                                max_length=4,
                            ),
                        ),
                        (
                            "source",
                            models.TextField(
                                blank=True, max_length=1000, verbose_name="where the rate comes from"
                            ),
                        ),
                        (
                            "assembly",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="components",
                                to="catalog.assembly",
                            ),
                        ),
                        (
                            "part",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="used_in",
                                to="catalog.assembly",
                            ),
                        ),
                        (
                            "material",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="used_in",
                                to="catalog.material",
                            ),
                        ),
                        (
                            "operation",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="used_in",
                                to="catalog.operation",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["assembly", "position", "pk"],
                    },
                ),
                migrations.CreateModel(
                    name="Precedence",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("reason", models.CharField(blank=True, max_length=200)),
                        (
                            "assembly",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="waits_for",
                                to="catalog.assembly",
                            ),
                        ),
                        (
                            "earlier",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="awaited_by",
                                to="catalog.assembly",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["assembly", "pk"],
                    },
                ),
                migrations.AddField(
                    model_name="assembly",
                    name="after",
                    field=models.ManyToManyField(
                        related_name="before",
                        through="catalog.Precedence",
                        to="catalog.assembly",
                        verbose_name="done before it",
                    ),
                ),
                migrations.CreateModel(
                    name="Package",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("name", models.CharField(max_length=80, verbose_name="package")),
                        (
                            "size",
                            models.DecimalField(
                                decimal_places=4,
                                max_digits=12,
                                validators=[django.core.validators.MinValueValidator(Decimal("0.0001"))],
                                verbose_name="holds",
                            ),
                        ),
                        (
                            "price_currency",
                            djmoney.models.fields.CurrencyField(
                                choices=[("USD", "US Dollar")], default="USD", editable=False, max_length=3
                            ),
                        ),
                        ("price", djmoney.models.fields.MoneyField(decimal_places=2, max_digits=10)),
                        ("priced_on", models.DateField(blank=True, null=True, verbose_name="price seen on")),
                        (
                            "estimated_by",
                            models.CharField(
                                blank=True, editable=False, max_length=200, verbose_name="moved by an index"
                            ),
                        ),
                        ("retired", models.BooleanField(default=False)),
                        ("shipped", models.JSONField(editable=False, null=True)),
                        (
                            "material",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="packages",
                                to="catalog.material",
                            ),
                        ),
                        (
                            "supplier",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="packages",
                                to="catalog.supplier",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["material", "size", "pk"],
                    },
                ),
                migrations.CreateModel(
                    name="SupplierItem",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("key", models.CharField(max_length=200)),
                        (
                            "package",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="called",
                                to="catalog.package",
                            ),
                        ),
                        (
                            "supplier",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="items",
                                to="catalog.supplier",
                            ),
                        ),
                    ],
                ),
                migrations.AddConstraint(
                    model_name="companion",
                    constraint=models.UniqueConstraint(
                        fields=("assembly", "companion"), name="one_companion_of_a_kind"
                    ),
                ),
                migrations.AddConstraint(
                    model_name="kitline",
                    constraint=models.UniqueConstraint(
                        fields=("kit", "assembly"), name="one_line_of_an_assembly"
                    ),
                ),
                migrations.AddConstraint(
                    model_name="component",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("material__isnull", False),
                                ("operation__isnull", True),
                                ("part__isnull", True),
                            ),
                            models.Q(
                                ("material__isnull", True),
                                ("operation__isnull", False),
                                ("part__isnull", True),
                            ),
                            models.Q(
                                ("material__isnull", True),
                                ("operation__isnull", True),
                                ("part__isnull", False),
                            ),
                            _connector="OR",
                        ),
                        name="component_uses_one_thing",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="precedence",
                    constraint=models.UniqueConstraint(
                        fields=("assembly", "earlier"), name="one_precedence_of_a_pair"
                    ),
                ),
                migrations.AddConstraint(
                    model_name="precedence",
                    constraint=models.CheckConstraint(
                        condition=models.Q(("assembly", models.F("earlier")), _negated=True),
                        name="nothing_waits_for_itself",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="package",
                    constraint=models.CheckConstraint(
                        condition=models.Q(("size__gt", 0)), name="package_holds_something"
                    ),
                ),
                migrations.AddConstraint(
                    model_name="package",
                    constraint=models.CheckConstraint(
                        condition=models.Q(("price__gte", 0)), name="package_price_not_negative"
                    ),
                ),
                migrations.AddConstraint(
                    model_name="package",
                    constraint=models.UniqueConstraint(
                        fields=("material", "name", "supplier"), name="one_package_of_a_name_by_supplier"
                    ),
                ),
                migrations.AddConstraint(
                    model_name="package",
                    constraint=models.UniqueConstraint(
                        condition=models.Q(("supplier__isnull", True)),
                        fields=("material", "name"),
                        name="one_package_of_a_name_without_supplier",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="supplieritem",
                    constraint=models.UniqueConstraint(
                        fields=("supplier", "key"), name="one_package_for_an_item_of_a_supplier"
                    ),
                ),
            ]
        ),
    ]
