"""All migrations up to 0010 in one, for a new database; one that has them keeps them."""

import datetime
import django.core.validators
import django.db.models.deletion
import djmoney.models.fields
import djmoney.money
from decimal import Decimal
from django.db import migrations, models

from saving.new_tables import CreateTables


class Migration(migrations.Migration):
    replaces = [
        ("jobsite", "0001_days"),
        ("jobsite", "0002_hours_and_receipts"),
        ("jobsite", "0003_answers_to_suggestions"),
        ("jobsite", "0004_words_of_the_trade"),
        ("jobsite", "0005_work_begins_with_its_job"),
        ("jobsite", "0006_call_backs"),
        ("jobsite", "0007_permits_and_lead"),
        ("jobsite", "0008_choices"),
        ("jobsite", "0009_diary"),
        ("jobsite", "0010_before_and_after"),
    ]

    initial = True

    dependencies = [
        ("catalog", "0001_squashed_0023_pay_link"),
        ("estimating", "0001_squashed_0040_choices"),
    ]

    operations = [
        CreateTables(
            [
                migrations.CreateModel(
                    name="CalendarFeed",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("name", models.CharField(max_length=80, verbose_name="for which calendar")),
                        (
                            "with_names",
                            models.BooleanField(
                                default=False, verbose_name="show clients' names and addresses"
                            ),
                        ),
                        ("secret_sha256", models.CharField(max_length=64, unique=True)),
                        ("once", models.CharField(editable=False, max_length=64, unique=True)),
                        ("made_at", models.DateTimeField()),
                        ("withdrawn_at", models.DateTimeField(null=True)),
                        ("last_read_at", models.DateTimeField(null=True)),
                        ("counted_since", models.DateTimeField(null=True)),
                        ("reads", models.PositiveIntegerField(default=0)),
                    ],
                    options={
                        "ordering": ["-made_at", "-pk"],
                    },
                ),
                migrations.CreateModel(
                    name="KeptPlan",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("scope", models.PositiveBigIntegerField(unique=True)),
                        ("digest", models.CharField(max_length=64)),
                        ("content", models.JSONField()),
                    ],
                ),
                migrations.CreateModel(
                    name="SuggestionAnswer",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        (
                            "kind",
                            models.CharField(
                                choices=[
                                    ("rate", "Hours of labor"),
                                    ("waste", "Waste of a material"),
                                    ("run", "Hours of a supply run"),
                                    ("visit", "Hours lost on a return visit"),
                                    ("together", "How far hours run over together"),
                                ],
                                max_length=8,
                            ),
                        ),
                        ("code", models.CharField(blank=True, max_length=80)),
                        ("taken", models.BooleanField()),
                        ("jobs", models.PositiveIntegerField()),
                        ("title", models.CharField(max_length=140)),
                        ("now", models.CharField(max_length=200)),
                        ("then", models.CharField(max_length=200)),
                        ("was", models.JSONField(default=dict)),
                        ("prior", models.JSONField(default=dict)),
                        ("made", models.JSONField(default=dict)),
                        ("at", models.DateTimeField()),
                        ("put_back_at", models.DateTimeField(null=True)),
                    ],
                    options={
                        "ordering": ["-at", "-pk"],
                    },
                ),
                migrations.CreateModel(
                    name="Absence",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        (
                            "kind",
                            models.CharField(
                                choices=[
                                    ("off", "Day off"),
                                    ("rain", "Lost to rain"),
                                    ("ill", "Ill"),
                                    ("other", "Something else"),
                                ],
                                default="off",
                                max_length=5,
                                verbose_name="why",
                            ),
                        ),
                        ("first", models.DateField(verbose_name="from")),
                        ("last", models.DateField(verbose_name="to")),
                        (
                            "part",
                            models.CharField(
                                choices=[
                                    ("day", "The whole day"),
                                    ("morning", "The morning"),
                                    ("afternoon", "The afternoon"),
                                ],
                                default="day",
                                max_length=9,
                                verbose_name="how much of it",
                            ),
                        ),
                        ("note", models.CharField(blank=True, max_length=80)),
                    ],
                    options={
                        "ordering": ["first", "pk"],
                        "constraints": [
                            models.CheckConstraint(
                                condition=models.Q(("first__lte", models.F("last"))),
                                name="an_absence_ends_after_it_begins",
                            )
                        ],
                    },
                ),
                migrations.CreateModel(
                    name="Choice",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("what", models.CharField(max_length=120, verbose_name="what there is to choose")),
                        (
                            "says",
                            models.TextField(blank=True, max_length=500, verbose_name="a word about it"),
                        ),
                        ("key", models.CharField(blank=True, max_length=40)),
                        ("decide_by", models.DateField(blank=True, null=True, verbose_name="to choose by")),
                        ("shown_at", models.DateTimeField(blank=True, null=True)),
                        (
                            "document",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to="estimating.document",
                            ),
                        ),
                        (
                            "job",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="+",
                                to="estimating.job",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["pk"],
                    },
                ),
                migrations.CreateModel(
                    name="ChoiceOffer",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("title", models.CharField(max_length=120, verbose_name="what it is")),
                        (
                            "says",
                            models.CharField(blank=True, max_length=300, verbose_name="a word about it"),
                        ),
                        (
                            "cost_currency",
                            djmoney.models.fields.CurrencyField(
                                choices=[("USD", "US Dollar")],
                                default="USD",
                                editable=False,
                                max_length=3,
                                null=True,
                            ),
                        ),
                        (
                            "cost",
                            djmoney.models.fields.MoneyField(
                                blank=True,
                                decimal_places=2,
                                max_digits=10,
                                null=True,
                                verbose_name="what it costs before tax",
                            ),
                        ),
                        ("photo", models.BinaryField(null=True)),
                        (
                            "choice",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="offers",
                                to="jobsite.choice",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["pk"],
                    },
                ),
                migrations.CreateModel(
                    name="ChoiceMade",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("name", models.CharField(max_length=120)),
                        ("at", models.DateTimeField()),
                        (
                            "difference_currency",
                            djmoney.models.fields.CurrencyField(
                                choices=[("USD", "US Dollar")], default="USD", editable=False, max_length=3
                            ),
                        ),
                        ("difference", djmoney.models.fields.MoneyField(decimal_places=2, max_digits=10)),
                        (
                            "change",
                            models.ForeignKey(
                                null=True,
                                on_delete=django.db.models.deletion.SET_NULL,
                                related_name="+",
                                to="estimating.changeorder",
                            ),
                        ),
                        (
                            "choice",
                            models.OneToOneField(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="made",
                                to="jobsite.choice",
                            ),
                        ),
                        (
                            "page",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to="estimating.joblink",
                            ),
                        ),
                        (
                            "offer",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to="jobsite.choiceoffer",
                            ),
                        ),
                    ],
                ),
                migrations.CreateModel(
                    name="Correction",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        (
                            "kind",
                            models.CharField(
                                choices=[("hours", "Hours"), ("receipt", "Receipt"), ("mileage", "Mileage")],
                                max_length=7,
                            ),
                        ),
                        ("row", models.PositiveBigIntegerField()),
                        ("was", models.TextField()),
                        ("removed", models.BooleanField(default=False)),
                        ("at", models.DateTimeField()),
                        (
                            "job",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to="estimating.job",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["-at", "-pk"],
                    },
                ),
                migrations.CreateModel(
                    name="DiaryEntry",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("on", models.DateField(verbose_name="day")),
                        ("says", models.TextField(blank=True, max_length=4000, verbose_name="what happened")),
                        ("weather", models.CharField(blank=True, max_length=80)),
                        ("who", models.CharField(blank=True, max_length=200, verbose_name="who was there")),
                        (
                            "came",
                            models.CharField(blank=True, max_length=200, verbose_name="what was delivered"),
                        ),
                        (
                            "for_client",
                            models.BooleanField(default=False, verbose_name="show it to the client"),
                        ),
                        ("written_at", models.DateTimeField()),
                        (
                            "job",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="+",
                                to="estimating.job",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["-on", "-pk"],
                    },
                ),
                migrations.CreateModel(
                    name="DiaryPhoto",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("content", models.BinaryField()),
                        ("small", models.BinaryField()),
                        ("sha256", models.CharField(max_length=64)),
                        (
                            "caption",
                            models.CharField(blank=True, max_length=120, verbose_name="what it shows"),
                        ),
                        (
                            "entry",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="photos",
                                to="jobsite.diaryentry",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["pk"],
                    },
                ),
                migrations.CreateModel(
                    name="HoursWorked",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("key", models.CharField(blank=True, max_length=40)),
                        (
                            "phase",
                            models.CharField(
                                blank=True,
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
                            "for_job",
                            models.CharField(
                                blank=True,
                                choices=[
                                    ("travel", "Supply runs and driving"),
                                    ("quoting", "Measuring and quoting"),
                                    ("cleaning", "Setting up and cleaning"),
                                    ("call_back", "Call-back"),
                                    ("warranty", "Warranty"),
                                    ("extra", "Extra work that nobody signed for"),
                                    ("other", "The job, something else"),
                                ],
                                max_length=10,
                            ),
                        ),
                        ("says", models.CharField(blank=True, max_length=120, verbose_name="what was done")),
                        ("on", models.DateField(verbose_name="day")),
                        (
                            "hours",
                            models.DecimalField(
                                decimal_places=2,
                                max_digits=6,
                                validators=[django.core.validators.MinValueValidator(Decimal("0.01"))],
                            ),
                        ),
                        ("spans", models.CharField(blank=True, max_length=200)),
                        (
                            "document",
                            models.ForeignKey(
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to="estimating.document",
                            ),
                        ),
                        (
                            "job",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to="estimating.job",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["on", "pk"],
                        "abstract": False,
                    },
                ),
                migrations.CreateModel(
                    name="JobDays",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("position", models.PositiveSmallIntegerField(default=0)),
                        ("replanned_on", models.DateField(editable=False, null=True)),
                        (
                            "job",
                            models.OneToOneField(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="+",
                                to="estimating.job",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["position", "job"],
                    },
                ),
                migrations.CreateModel(
                    name="KeptSteps",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("digest", models.CharField(max_length=64)),
                        ("content", models.JSONField()),
                        (
                            "job",
                            models.OneToOneField(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="+",
                                to="estimating.job",
                            ),
                        ),
                    ],
                ),
                migrations.CreateModel(
                    name="LeadRecord",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        (
                            "given_on",
                            models.DateField(blank=True, null=True, verbose_name="pamphlet given on"),
                        ),
                        ("given_to", models.CharField(blank=True, max_length=120, verbose_name="to whom")),
                        (
                            "how",
                            models.CharField(
                                choices=[
                                    ("signed", "Handed over, and signed for"),
                                    ("mailed", "Mailed, with a certificate of mailing"),
                                ],
                                default="signed",
                                max_length=6,
                                verbose_name="how",
                            ),
                        ),
                        (
                            "renovator",
                            models.CharField(blank=True, max_length=120, verbose_name="certified renovator"),
                        ),
                        (
                            "certificate",
                            models.CharField(
                                blank=True, max_length=60, verbose_name="number of the certificate"
                            ),
                        ),
                        (
                            "helpers",
                            models.CharField(blank=True, max_length=200, verbose_name="trained helpers"),
                        ),
                        (
                            "tests",
                            models.TextField(
                                blank=True,
                                max_length=1000,
                                verbose_name="test kits or samples, where, and results",
                            ),
                        ),
                        ("done", models.JSONField(blank=True, default=list, verbose_name="what was done")),
                        (
                            "cloths",
                            models.CharField(
                                blank=True,
                                max_length=200,
                                verbose_name="result of the cleaning verification, with the wet and dry cloths used",
                            ),
                        ),
                        (
                            "ended_on",
                            models.DateField(blank=True, null=True, verbose_name="lead-safe work ended on"),
                        ),
                        (
                            "job",
                            models.OneToOneField(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="+",
                                to="estimating.job",
                            ),
                        ),
                    ],
                ),
                migrations.CreateModel(
                    name="LeadTime",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        (
                            "days",
                            models.PositiveSmallIntegerField(
                                validators=[django.core.validators.MaxValueValidator(400)],
                                verbose_name="days from order to arrival",
                            ),
                        ),
                        (
                            "material",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="+",
                                to="catalog.material",
                            ),
                        ),
                        (
                            "supplier",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="+",
                                to="catalog.supplier",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["-days", "pk"],
                    },
                ),
                migrations.CreateModel(
                    name="Mileage",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("on", models.DateField(verbose_name="day")),
                        (
                            "miles",
                            models.DecimalField(
                                decimal_places=1,
                                max_digits=6,
                                validators=[django.core.validators.MinValueValidator(Decimal("0.1"))],
                            ),
                        ),
                        (
                            "rate",
                            models.DecimalField(
                                decimal_places=4, max_digits=6, verbose_name="dollars a mile"
                            ),
                        ),
                        ("says", models.CharField(blank=True, max_length=120, verbose_name="where to")),
                        (
                            "job",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to="estimating.job",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["on", "pk"],
                    },
                ),
                migrations.CreateModel(
                    name="Permit",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("what", models.CharField(max_length=120, verbose_name="for what")),
                        ("office", models.CharField(blank=True, max_length=120, verbose_name="office")),
                        ("number", models.CharField(blank=True, max_length=60, verbose_name="number")),
                        ("applied_on", models.DateField(blank=True, null=True, verbose_name="asked for on")),
                        ("issued_on", models.DateField(blank=True, null=True, verbose_name="given on")),
                        ("expires_on", models.DateField(blank=True, null=True, verbose_name="good until")),
                        (
                            "closed_on",
                            models.DateField(blank=True, null=True, verbose_name="closed by the office on"),
                        ),
                        (
                            "job",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="+",
                                to="estimating.job",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["pk"],
                    },
                ),
                migrations.CreateModel(
                    name="OutsideEvent",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        (
                            "kind",
                            models.CharField(
                                choices=[
                                    ("delivery", "Delivery"),
                                    ("decision", "The client decides"),
                                    ("trade", "A licensed trade"),
                                    ("inspection", "Inspection"),
                                    ("dumpster", "Dumpster"),
                                    ("template", "Counter maker measures"),
                                    ("setting", "Counter maker sets"),
                                    ("other", "Something else"),
                                ],
                                max_length=10,
                                verbose_name="what it is",
                            ),
                        ),
                        ("title", models.CharField(max_length=80, verbose_name="in a few words")),
                        ("on", models.DateField(blank=True, null=True, verbose_name="day it comes")),
                        ("until", models.DateField(blank=True, null=True, verbose_name="to")),
                        ("at", models.TimeField(blank=True, null=True, verbose_name="at")),
                        (
                            "holds_back",
                            models.CharField(
                                blank=True, max_length=120, verbose_name="work that waits for it"
                            ),
                        ),
                        (
                            "lead_days",
                            models.PositiveSmallIntegerField(
                                blank=True,
                                null=True,
                                validators=[django.core.validators.MaxValueValidator(400)],
                                verbose_name="days from order to arrival",
                            ),
                        ),
                        ("ordered_on", models.DateField(blank=True, null=True, verbose_name="ordered on")),
                        (
                            "needs_client",
                            models.BooleanField(default=False, verbose_name="somebody must be home"),
                        ),
                        ("done", models.BooleanField(default=False, verbose_name="it has come")),
                        (
                            "result",
                            models.CharField(
                                blank=True,
                                choices=[
                                    ("passed", "Passed"),
                                    ("partly", "Passed in part"),
                                    ("failed", "Not passed"),
                                ],
                                max_length=6,
                                verbose_name="what came of it",
                            ),
                        ),
                        (
                            "said",
                            models.CharField(
                                blank=True, max_length=300, verbose_name="what the inspector said"
                            ),
                        ),
                        (
                            "job",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="+",
                                to="estimating.job",
                            ),
                        ),
                        (
                            "material",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.SET_NULL,
                                related_name="+",
                                to="catalog.material",
                            ),
                        ),
                        (
                            "supplier",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.SET_NULL,
                                related_name="+",
                                to="catalog.supplier",
                            ),
                        ),
                        (
                            "permit",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.SET_NULL,
                                related_name="inspections",
                                to="jobsite.permit",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["job", models.OrderBy(models.F("on"), nulls_last=True), "pk"],
                    },
                ),
                migrations.CreateModel(
                    name="PermitPhoto",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("content", models.BinaryField()),
                        ("sha256", models.CharField(max_length=64)),
                        (
                            "permit",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="photos",
                                to="jobsite.permit",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["pk"],
                    },
                ),
                migrations.CreateModel(
                    name="ReceiptKept",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("on", models.DateField(verbose_name="day")),
                        ("supplier", models.CharField(blank=True, max_length=120, verbose_name="store")),
                        (
                            "cost_currency",
                            djmoney.models.fields.CurrencyField(
                                choices=[("USD", "US Dollar")], default="USD", editable=False, max_length=3
                            ),
                        ),
                        (
                            "cost",
                            djmoney.models.fields.MoneyField(
                                decimal_places=2, max_digits=10, verbose_name="cost before tax"
                            ),
                        ),
                        (
                            "tax_currency",
                            djmoney.models.fields.CurrencyField(
                                choices=[("USD", "US Dollar")], default="USD", editable=False, max_length=3
                            ),
                        ),
                        (
                            "tax",
                            djmoney.models.fields.MoneyField(
                                decimal_places=2,
                                default=djmoney.money.Money(0, "USD"),
                                max_digits=10,
                                verbose_name="sales tax on it",
                            ),
                        ),
                        ("says", models.CharField(max_length=120, verbose_name="what was bought")),
                        (
                            "document",
                            models.ForeignKey(
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to="estimating.document",
                            ),
                        ),
                        (
                            "job",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to="estimating.job",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["on", "pk"],
                    },
                ),
                migrations.CreateModel(
                    name="CallBack",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("on", models.DateField(verbose_name="day")),
                        ("says", models.CharField(max_length=200, verbose_name="what it is")),
                        (
                            "job",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to="estimating.job",
                            ),
                        ),
                        (
                            "worked",
                            models.OneToOneField(
                                null=True,
                                on_delete=django.db.models.deletion.SET_NULL,
                                related_name="call_back",
                                to="jobsite.hoursworked",
                            ),
                        ),
                        (
                            "bought",
                            models.OneToOneField(
                                null=True,
                                on_delete=django.db.models.deletion.SET_NULL,
                                related_name="call_back",
                                to="jobsite.receiptkept",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["on", "pk"],
                    },
                ),
                migrations.CreateModel(
                    name="ReceiptLine",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("says", models.CharField(blank=True, max_length=120, verbose_name="what")),
                        (
                            "quantity",
                            models.DecimalField(
                                decimal_places=2,
                                default=1,
                                max_digits=9,
                                validators=[django.core.validators.MinValueValidator(Decimal("0.01"))],
                                verbose_name="how many",
                            ),
                        ),
                        (
                            "amount_currency",
                            djmoney.models.fields.CurrencyField(
                                choices=[("USD", "US Dollar")], default="USD", editable=False, max_length=3
                            ),
                        ),
                        (
                            "amount",
                            djmoney.models.fields.MoneyField(
                                decimal_places=2, max_digits=10, verbose_name="cost before tax"
                            ),
                        ),
                        ("price_answered", models.BooleanField(default=False)),
                        (
                            "material",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to="catalog.material",
                            ),
                        ),
                        (
                            "package",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to="catalog.package",
                            ),
                        ),
                        (
                            "receipt",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="lines",
                                to="jobsite.receiptkept",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["receipt", "pk"],
                    },
                ),
                migrations.CreateModel(
                    name="ReceiptPhoto",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("content", models.BinaryField()),
                        ("sha256", models.CharField(max_length=64)),
                        (
                            "receipt",
                            models.OneToOneField(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="photo",
                                to="jobsite.receiptkept",
                            ),
                        ),
                    ],
                ),
                migrations.CreateModel(
                    name="Reference",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        (
                            "says",
                            models.CharField(blank=True, max_length=200, verbose_name="a word about it"),
                        ),
                        ("asked_at", models.DateTimeField()),
                        (
                            "answer",
                            models.CharField(
                                blank=True, choices=[("yes", "Yes, show them"), ("no", "No")], max_length=3
                            ),
                        ),
                        ("name", models.CharField(blank=True, max_length=120)),
                        ("answered_at", models.DateTimeField(null=True)),
                        (
                            "after",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="+",
                                to="jobsite.diaryphoto",
                            ),
                        ),
                        (
                            "before",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="+",
                                to="jobsite.diaryphoto",
                            ),
                        ),
                        (
                            "job",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="+",
                                to="estimating.job",
                            ),
                        ),
                        (
                            "page",
                            models.ForeignKey(
                                null=True,
                                on_delete=django.db.models.deletion.SET_NULL,
                                related_name="+",
                                to="estimating.joblink",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["pk"],
                    },
                ),
                migrations.CreateModel(
                    name="RunningClock",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("key", models.CharField(blank=True, max_length=40)),
                        (
                            "phase",
                            models.CharField(
                                blank=True,
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
                            "for_job",
                            models.CharField(
                                blank=True,
                                choices=[
                                    ("travel", "Supply runs and driving"),
                                    ("quoting", "Measuring and quoting"),
                                    ("cleaning", "Setting up and cleaning"),
                                    ("call_back", "Call-back"),
                                    ("warranty", "Warranty"),
                                    ("extra", "Extra work that nobody signed for"),
                                    ("other", "The job, something else"),
                                ],
                                max_length=10,
                            ),
                        ),
                        ("says", models.CharField(blank=True, max_length=120, verbose_name="what was done")),
                        ("started_at", models.DateTimeField()),
                        (
                            "document",
                            models.ForeignKey(
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to="estimating.document",
                            ),
                        ),
                        (
                            "job",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to="estimating.job",
                            ),
                        ),
                    ],
                    options={
                        "abstract": False,
                    },
                ),
                migrations.CreateModel(
                    name="StepDate",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("step", models.CharField(max_length=120)),
                        (
                            "kind",
                            models.CharField(
                                choices=[("on", "On this day"), ("not_before", "Not before this day")],
                                max_length=10,
                            ),
                        ),
                        ("day", models.DateField()),
                        (
                            "job",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="+",
                                to="estimating.job",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["job", "day", "pk"],
                    },
                ),
                migrations.CreateModel(
                    name="StepProgress",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("step", models.CharField(max_length=120)),
                        (
                            "hours_left",
                            models.DecimalField(
                                decimal_places=2,
                                default=0,
                                max_digits=6,
                                validators=[django.core.validators.MinValueValidator(0)],
                                verbose_name="hours left",
                            ),
                        ),
                        ("noted_at", models.DateTimeField()),
                        (
                            "job",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="+",
                                to="estimating.job",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["job", "pk"],
                    },
                ),
                migrations.CreateModel(
                    name="ToldDates",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("begins", models.DateField()),
                        ("finish", models.DateField()),
                        (
                            "reason",
                            models.CharField(blank=True, max_length=300, verbose_name="why they changed"),
                        ),
                        ("content", models.JSONField()),
                        ("sent_to", models.CharField(blank=True, max_length=254)),
                        ("told_at", models.DateTimeField()),
                        (
                            "document",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to="estimating.document",
                            ),
                        ),
                        (
                            "job",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="+",
                                to="estimating.job",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["job", "told_at", "pk"],
                    },
                ),
                migrations.CreateModel(
                    name="WorkWeek",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        (
                            "begins",
                            models.TimeField(
                                default=datetime.time(8, 0), verbose_name="a day on site begins at"
                            ),
                        ),
                        (
                            "monday",
                            models.DecimalField(
                                decimal_places=2,
                                default=Decimal("7"),
                                max_digits=4,
                                validators=[
                                    django.core.validators.MinValueValidator(0),
                                    django.core.validators.MaxValueValidator(16),
                                ],
                                verbose_name="Monday",
                            ),
                        ),
                        (
                            "tuesday",
                            models.DecimalField(
                                decimal_places=2,
                                default=Decimal("7"),
                                max_digits=4,
                                validators=[
                                    django.core.validators.MinValueValidator(0),
                                    django.core.validators.MaxValueValidator(16),
                                ],
                                verbose_name="Tuesday",
                            ),
                        ),
                        (
                            "wednesday",
                            models.DecimalField(
                                decimal_places=2,
                                default=Decimal("7"),
                                max_digits=4,
                                validators=[
                                    django.core.validators.MinValueValidator(0),
                                    django.core.validators.MaxValueValidator(16),
                                ],
                                verbose_name="Wednesday",
                            ),
                        ),
                        (
                            "thursday",
                            models.DecimalField(
                                decimal_places=2,
                                default=Decimal("7"),
                                max_digits=4,
                                validators=[
                                    django.core.validators.MinValueValidator(0),
                                    django.core.validators.MaxValueValidator(16),
                                ],
                                verbose_name="Thursday",
                            ),
                        ),
                        (
                            "friday",
                            models.DecimalField(
                                decimal_places=2,
                                default=Decimal("7"),
                                max_digits=4,
                                validators=[
                                    django.core.validators.MinValueValidator(0),
                                    django.core.validators.MaxValueValidator(16),
                                ],
                                verbose_name="Friday",
                            ),
                        ),
                        (
                            "saturday",
                            models.DecimalField(
                                decimal_places=2,
                                default=Decimal("0"),
                                max_digits=4,
                                validators=[
                                    django.core.validators.MinValueValidator(0),
                                    django.core.validators.MaxValueValidator(16),
                                ],
                                verbose_name="Saturday",
                            ),
                        ),
                        (
                            "sunday",
                            models.DecimalField(
                                decimal_places=2,
                                default=Decimal("0"),
                                max_digits=4,
                                validators=[
                                    django.core.validators.MinValueValidator(0),
                                    django.core.validators.MaxValueValidator(16),
                                ],
                                verbose_name="Sunday",
                            ),
                        ),
                        (
                            "keeps_holidays",
                            models.BooleanField(default=True, verbose_name="no work on federal holidays"),
                        ),
                    ],
                    options={
                        "constraints": [
                            models.CheckConstraint(condition=models.Q(("pk", 1)), name="one_work_week")
                        ],
                    },
                ),
                migrations.CreateModel(
                    name="BoughtMaterial",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("code", models.CharField(max_length=80)),
                        ("on", models.DateField(verbose_name="day")),
                        (
                            "job",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to="estimating.job",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["job", "pk"],
                        "constraints": [models.UniqueConstraint(fields=("job", "code"), name="bought_once")],
                    },
                ),
                migrations.CreateModel(
                    name="CalendarEntry",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("uid", models.CharField(max_length=80, unique=True)),
                        (
                            "kind",
                            models.CharField(
                                choices=[("planned", "As planned"), ("told", "As told")], max_length=7
                            ),
                        ),
                        ("key", models.CharField(max_length=160)),
                        ("sequence", models.PositiveIntegerField(default=0)),
                        ("facts_sha256", models.CharField(max_length=64)),
                        ("facts", models.JSONField()),
                        ("changed_at", models.DateTimeField()),
                        ("canceled_at", models.DateTimeField(null=True)),
                        (
                            "job",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="+",
                                to="estimating.job",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["job", "kind", "key"],
                        "constraints": [
                            models.UniqueConstraint(
                                fields=("job", "kind", "key"), name="one_calendar_entry_of_a_key"
                            )
                        ],
                    },
                ),
                migrations.AddConstraint(
                    model_name="choice",
                    constraint=models.UniqueConstraint(
                        condition=models.Q(("document__isnull", False)),
                        fields=("document", "key"),
                        name="one_choice_of_an_allowance",
                    ),
                ),
                migrations.AddIndex(
                    model_name="correction",
                    index=models.Index(fields=["kind", "row"], name="corrections_of_an_entry"),
                ),
                migrations.AddIndex(
                    model_name="diaryentry",
                    index=models.Index(fields=["job", "on"], name="diary_of_a_job"),
                ),
                migrations.AddConstraint(
                    model_name="diaryphoto",
                    constraint=models.UniqueConstraint(fields=("entry", "sha256"), name="a_diary_photo_once"),
                ),
                migrations.AddIndex(
                    model_name="hoursworked",
                    index=models.Index(fields=["job", "on"], name="hours_of_a_job"),
                ),
                migrations.AddIndex(
                    model_name="hoursworked",
                    index=models.Index(fields=["on"], name="hours_of_a_day"),
                ),
                migrations.AddConstraint(
                    model_name="hoursworked",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("document__isnull", False), ("for_job", ""), ("phase", "")),
                            models.Q(
                                ("document", None),
                                ("for_job", ""),
                                ("key", ""),
                                models.Q(("phase", ""), _negated=True),
                            ),
                            models.Q(
                                ("document", None),
                                ("key", ""),
                                ("phase", ""),
                                models.Q(("for_job", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="hoursworked_went_to_one_thing",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="leadtime",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("material__isnull", True), ("supplier__isnull", False)),
                            models.Q(("material__isnull", False), ("supplier__isnull", True)),
                            _connector="OR",
                        ),
                        name="a_lead_time_is_of_one_thing",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="leadtime",
                    constraint=models.UniqueConstraint(
                        fields=("supplier",), name="one_lead_time_of_a_supplier"
                    ),
                ),
                migrations.AddConstraint(
                    model_name="leadtime",
                    constraint=models.UniqueConstraint(
                        fields=("material",), name="one_lead_time_of_a_material"
                    ),
                ),
                migrations.AddIndex(
                    model_name="mileage",
                    index=models.Index(fields=["job", "on"], name="mileage_of_a_job"),
                ),
                migrations.AddIndex(
                    model_name="receiptkept",
                    index=models.Index(fields=["job", "on"], name="receipts_of_a_job"),
                ),
                migrations.AddIndex(
                    model_name="callback",
                    index=models.Index(fields=["job", "on"], name="call_backs_of_a_job"),
                ),
                migrations.AddConstraint(
                    model_name="reference",
                    constraint=models.UniqueConstraint(
                        fields=("before", "after"), name="a_pair_is_asked_about_once"
                    ),
                ),
                migrations.AddConstraint(
                    model_name="runningclock",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("document__isnull", False), ("for_job", ""), ("phase", "")),
                            models.Q(
                                ("document", None),
                                ("for_job", ""),
                                ("key", ""),
                                models.Q(("phase", ""), _negated=True),
                            ),
                            models.Q(
                                ("document", None),
                                ("key", ""),
                                ("phase", ""),
                                models.Q(("for_job", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="runningclock_went_to_one_thing",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="runningclock",
                    constraint=models.CheckConstraint(condition=models.Q(("pk", 1)), name="one_clock_runs"),
                ),
                migrations.AddConstraint(
                    model_name="stepdate",
                    constraint=models.UniqueConstraint(fields=("job", "step"), name="one_date_of_a_step"),
                ),
                migrations.AddConstraint(
                    model_name="stepprogress",
                    constraint=models.UniqueConstraint(fields=("job", "step"), name="one_progress_of_a_step"),
                ),
            ]
        ),
    ]
