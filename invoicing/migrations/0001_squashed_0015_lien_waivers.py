"""All migrations up to 0015 in one, for a new database; one that has them keeps them."""

import django.core.validators
import django.db.models.deletion
import djmoney.models.fields
import djmoney.money
from decimal import Decimal
from django.db import migrations, models

from saving.new_tables import CreateTables


class Migration(migrations.Migration):
    replaces = [
        ("invoicing", "0001_plan"),
        ("invoicing", "0002_payments"),
        ("invoicing", "0003_invoices"),
        ("invoicing", "0004_late_charges"),
        ("invoicing", "0005_credit_put_on_an_invoice"),
        ("invoicing", "0006_kind_of_bill"),
        ("invoicing", "0007_last_bill_releases"),
        ("invoicing", "0008_change_with_a_milestone"),
        ("invoicing", "0009_parts_given_up"),
        ("invoicing", "0010_returned_checks_and_parts"),
        ("invoicing", "0011_hours_and_receipts_move"),
        ("invoicing", "0012_words_of_the_trade"),
        ("invoicing", "0013_work_begins_with_its_job"),
        ("invoicing", "0014_kept_sums"),
        ("invoicing", "0015_lien_waivers"),
    ]

    initial = True

    dependencies = [
        ("estimating", "0001_squashed_0040_choices"),
    ]

    operations = [
        CreateTables(
            [
                migrations.CreateModel(
                    name="KeptAccount",
                    fields=[
                        (
                            "client",
                            models.OneToOneField(
                                on_delete=django.db.models.deletion.CASCADE,
                                primary_key=True,
                                related_name="+",
                                serialize=False,
                                to="estimating.client",
                            ),
                        ),
                        ("bills", models.PositiveIntegerField()),
                        ("payments", models.PositiveIntegerField()),
                        ("billed", models.BigIntegerField()),
                        ("credited", models.BigIntegerField()),
                        ("paid", models.BigIntegerField()),
                        ("refunded", models.BigIntegerField()),
                        ("open", models.BigIntegerField()),
                        ("credit", models.BigIntegerField()),
                        ("held", models.BigIntegerField()),
                    ],
                ),
                migrations.CreateModel(
                    name="NoticeRule",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("name", models.CharField(max_length=120, verbose_name="what has to be done")),
                        (
                            "days",
                            models.PositiveSmallIntegerField(
                                validators=[
                                    django.core.validators.MinValueValidator(1),
                                    django.core.validators.MaxValueValidator(1000),
                                ],
                                verbose_name="within how many calendar days",
                            ),
                        ),
                        (
                            "counted_from",
                            models.CharField(
                                choices=[
                                    ("first", "The first day of work"),
                                    ("last", "The last day of work"),
                                ],
                                max_length=5,
                                verbose_name="counted from",
                            ),
                        ),
                        ("citation", models.CharField(max_length=200, verbose_name="where the law says so")),
                        ("confirmed_on", models.DateField()),
                    ],
                    options={
                        "ordering": ["days", "pk"],
                    },
                ),
                migrations.CreateModel(
                    name="Pattern",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("name", models.CharField(max_length=80, unique=True)),
                        (
                            "retainage_percent",
                            models.DecimalField(
                                decimal_places=2,
                                default=0,
                                max_digits=5,
                                validators=[
                                    django.core.validators.MinValueValidator(Decimal("0")),
                                    django.core.validators.MaxValueValidator(Decimal("100")),
                                ],
                            ),
                        ),
                        (
                            "changes_go",
                            models.CharField(
                                choices=[
                                    ("own", "A line of its own"),
                                    ("spread", "Spread over the milestones that are still to be billed"),
                                    ("last", "With the last milestone"),
                                ],
                                default="own",
                                max_length=6,
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["name"],
                    },
                ),
                migrations.CreateModel(
                    name="StateWaiver",
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
                                    ("conditional_progress", "Conditional waiver on progress payment"),
                                    ("unconditional_progress", "Unconditional waiver on progress payment"),
                                    ("conditional_final", "Conditional waiver on final payment"),
                                    ("unconditional_final", "Unconditional waiver on final payment"),
                                ],
                                max_length=22,
                                unique=True,
                                verbose_name="which waiver",
                            ),
                        ),
                        ("text", models.TextField(max_length=8000, verbose_name="the words of the form")),
                        ("citation", models.CharField(max_length=200, verbose_name="where the law says so")),
                        ("confirmed_on", models.DateField()),
                    ],
                    options={
                        "ordering": ["pk"],
                    },
                ),
                migrations.CreateModel(
                    name="KeptBill",
                    fields=[
                        (
                            "document",
                            models.OneToOneField(
                                on_delete=django.db.models.deletion.CASCADE,
                                primary_key=True,
                                related_name="+",
                                serialize=False,
                                to="estimating.document",
                            ),
                        ),
                        ("dated", models.DateField(db_index=True)),
                        ("due", models.DateField(null=True)),
                        ("before_tax", models.BigIntegerField()),
                        ("taxable", models.BigIntegerField()),
                        ("tax", models.BigIntegerField()),
                        ("credited", models.BigIntegerField(null=True)),
                        ("paid", models.BigIntegerField(null=True)),
                        ("open", models.BigIntegerField(null=True)),
                        (
                            "client",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="+",
                                to="estimating.client",
                            ),
                        ),
                    ],
                ),
                migrations.CreateModel(
                    name="Milestone",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("position", models.PositiveSmallIntegerField(default=0)),
                        ("name", models.CharField(max_length=80)),
                        ("condition", models.CharField(max_length=300, verbose_name="due when")),
                        (
                            "not_covered",
                            models.CharField(
                                blank=True, max_length=300, verbose_name="what it does not cover"
                            ),
                        ),
                        (
                            "share_percent",
                            models.DecimalField(
                                blank=True,
                                decimal_places=4,
                                max_digits=7,
                                null=True,
                                validators=[
                                    django.core.validators.MinValueValidator(Decimal("0")),
                                    django.core.validators.MaxValueValidator(Decimal("100")),
                                ],
                                verbose_name="share, %",
                            ),
                        ),
                        (
                            "amount_currency",
                            djmoney.models.fields.CurrencyField(
                                choices=[("USD", "US Dollar")],
                                default="USD",
                                editable=False,
                                max_length=3,
                                null=True,
                            ),
                        ),
                        (
                            "amount",
                            djmoney.models.fields.MoneyField(
                                blank=True, decimal_places=2, default=None, max_digits=12, null=True
                            ),
                        ),
                        (
                            "is_deposit",
                            models.BooleanField(
                                default=False, verbose_name="asked for before the work begins"
                            ),
                        ),
                        ("expected_on", models.DateField(blank=True, null=True, verbose_name="expected on")),
                        ("reached_on", models.DateField(blank=True, null=True, verbose_name="complete on")),
                        (
                            "change",
                            models.OneToOneField(
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="own_milestone",
                                to="estimating.document",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["plan", "position", "pk"],
                    },
                ),
                migrations.CreateModel(
                    name="MoneyRules",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        (
                            "reminder_days",
                            models.PositiveSmallIntegerField(default=3, verbose_name="days to the reminder"),
                        ),
                        (
                            "second_days",
                            models.PositiveSmallIntegerField(
                                default=10, verbose_name="days to the second reminder"
                            ),
                        ),
                        (
                            "demand_days",
                            models.PositiveSmallIntegerField(
                                default=30, verbose_name="days to the formal demand"
                            ),
                        ),
                        (
                            "late_percent",
                            models.DecimalField(
                                decimal_places=2,
                                default=0,
                                max_digits=5,
                                validators=[
                                    django.core.validators.MinValueValidator(0),
                                    django.core.validators.MaxValueValidator(100),
                                ],
                                verbose_name="late charge that your contracts state, % a year",
                            ),
                        ),
                        (
                            "returned_fee",
                            models.DecimalField(
                                decimal_places=2,
                                default=0,
                                max_digits=6,
                                validators=[django.core.validators.MinValueValidator(0)],
                                verbose_name="fee for a returned check that your contracts state",
                            ),
                        ),
                    ],
                    options={
                        "constraints": [
                            models.CheckConstraint(
                                condition=models.Q(("pk", 1)), name="one_set_of_money_rules"
                            )
                        ],
                    },
                ),
                migrations.CreateModel(
                    name="PatternStep",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("position", models.PositiveSmallIntegerField(default=0)),
                        ("name", models.CharField(max_length=80)),
                        ("condition", models.CharField(max_length=300)),
                        ("not_covered", models.CharField(blank=True, max_length=300)),
                        (
                            "share_percent",
                            models.DecimalField(
                                blank=True,
                                decimal_places=4,
                                max_digits=7,
                                null=True,
                                validators=[
                                    django.core.validators.MinValueValidator(Decimal("0")),
                                    django.core.validators.MaxValueValidator(Decimal("100")),
                                ],
                            ),
                        ),
                        (
                            "amount_currency",
                            djmoney.models.fields.CurrencyField(
                                choices=[("USD", "US Dollar")],
                                default="USD",
                                editable=False,
                                max_length=3,
                                null=True,
                            ),
                        ),
                        (
                            "amount",
                            djmoney.models.fields.MoneyField(
                                blank=True, decimal_places=2, default=None, max_digits=12, null=True
                            ),
                        ),
                        ("is_deposit", models.BooleanField(default=False)),
                        (
                            "pattern",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="steps",
                                to="invoicing.pattern",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["pattern", "position", "pk"],
                    },
                ),
                migrations.CreateModel(
                    name="Payment",
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
                                    ("payment", "Payment"),
                                    ("return", "Payment voided"),
                                    ("refund", "Refund"),
                                    ("put", "Credit used"),
                                ],
                                default="payment",
                                max_length=7,
                            ),
                        ),
                        ("on", models.DateField(verbose_name="date")),
                        (
                            "amount_currency",
                            djmoney.models.fields.CurrencyField(
                                choices=[("USD", "US Dollar")], default="USD", editable=False, max_length=3
                            ),
                        ),
                        ("amount", djmoney.models.fields.MoneyField(decimal_places=2, max_digits=14)),
                        (
                            "method",
                            models.CharField(
                                choices=[
                                    ("check", "Check"),
                                    ("cash", "Cash"),
                                    ("card", "Card"),
                                    ("transfer", "Bank transfer"),
                                    ("other", "Other"),
                                ],
                                max_length=8,
                                verbose_name="how",
                            ),
                        ),
                        (
                            "reference",
                            models.CharField(
                                blank=True, max_length=60, verbose_name="check or reference number"
                            ),
                        ),
                        ("note", models.CharField(blank=True, max_length=200, verbose_name="note")),
                        (
                            "why",
                            models.CharField(
                                blank=True,
                                choices=[("bank", "The bank returned it"), ("mistake", "I entered it wrong")],
                                max_length=7,
                            ),
                        ),
                        ("place", models.PositiveBigIntegerField()),
                        ("once", models.CharField(max_length=64, unique=True)),
                        ("entered_at", models.DateTimeField()),
                        (
                            "client",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to="estimating.client",
                            ),
                        ),
                        (
                            "job",
                            models.ForeignKey(
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to="estimating.job",
                            ),
                        ),
                        (
                            "of",
                            models.OneToOneField(
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="taken_back",
                                to="invoicing.payment",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["-on", "-pk"],
                    },
                ),
                migrations.CreateModel(
                    name="BillDraft",
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
                                    ("work", "Work that is done"),
                                    ("deposit", "The deposit"),
                                    ("release", "Retainage"),
                                    ("late", "A late charge"),
                                    ("fee", "The fee for a returned check"),
                                ],
                                default="work",
                                max_length=7,
                                verbose_name="what is billed",
                            ),
                        ),
                        ("due_on", models.DateField(blank=True, null=True, verbose_name="due on")),
                        (
                            "deposit_currency",
                            djmoney.models.fields.CurrencyField(
                                choices=[("USD", "US Dollar")],
                                default="USD",
                                editable=False,
                                max_length=3,
                                null=True,
                            ),
                        ),
                        (
                            "deposit",
                            djmoney.models.fields.MoneyField(
                                blank=True,
                                decimal_places=2,
                                default=None,
                                max_digits=12,
                                null=True,
                                verbose_name="of the deposit to apply",
                            ),
                        ),
                        (
                            "part_currency",
                            djmoney.models.fields.CurrencyField(
                                choices=[("USD", "US Dollar")],
                                default="USD",
                                editable=False,
                                max_length=3,
                                null=True,
                            ),
                        ),
                        (
                            "part",
                            djmoney.models.fields.MoneyField(
                                blank=True,
                                decimal_places=2,
                                default=None,
                                max_digits=12,
                                null=True,
                                verbose_name="only this much of it now",
                            ),
                        ),
                        (
                            "release_currency",
                            djmoney.models.fields.CurrencyField(
                                choices=[("USD", "US Dollar")],
                                default="USD",
                                editable=False,
                                max_length=3,
                                null=True,
                            ),
                        ),
                        (
                            "release",
                            djmoney.models.fields.MoneyField(
                                blank=True,
                                decimal_places=2,
                                default=None,
                                max_digits=12,
                                null=True,
                                verbose_name="retainage to bill",
                            ),
                        ),
                        (
                            "keeps_held",
                            models.BooleanField(default=False, verbose_name="go on holding retainage back"),
                        ),
                        (
                            "note",
                            models.TextField(
                                blank=True, max_length=1000, verbose_name="words for the client"
                            ),
                        ),
                        (
                            "job",
                            models.OneToOneField(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="bill_draft",
                                to="estimating.job",
                            ),
                        ),
                        (
                            "late_on",
                            models.ForeignKey(
                                null=True,
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="+",
                                to="estimating.document",
                                verbose_name="invoice that is late",
                            ),
                        ),
                        (
                            "milestones",
                            models.ManyToManyField(blank=True, related_name="+", to="invoicing.milestone"),
                        ),
                        (
                            "returned",
                            models.ForeignKey(
                                null=True,
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="+",
                                to="invoicing.payment",
                                verbose_name="check that was returned",
                            ),
                        ),
                    ],
                ),
                migrations.CreateModel(
                    name="PaymentFor",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        (
                            "invoice",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to="estimating.document",
                            ),
                        ),
                        (
                            "payment",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="meant_for",
                                to="invoicing.payment",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["payment", "pk"],
                    },
                ),
                migrations.CreateModel(
                    name="PaymentPlan",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        (
                            "retainage_percent",
                            models.DecimalField(
                                decimal_places=2,
                                default=0,
                                max_digits=5,
                                validators=[
                                    django.core.validators.MinValueValidator(Decimal("0")),
                                    django.core.validators.MaxValueValidator(Decimal("100")),
                                ],
                                verbose_name="held back from each bill, %",
                            ),
                        ),
                        (
                            "deposit_currency",
                            djmoney.models.fields.CurrencyField(
                                choices=[("USD", "US Dollar")], default="USD", editable=False, max_length=3
                            ),
                        ),
                        (
                            "deposit",
                            djmoney.models.fields.MoneyField(
                                decimal_places=2,
                                default=djmoney.money.Money(0, "USD"),
                                max_digits=12,
                                verbose_name="deposit applied to later bills",
                            ),
                        ),
                        (
                            "changes_go",
                            models.CharField(
                                choices=[
                                    ("own", "A line of its own"),
                                    ("spread", "Spread over the milestones that are still to be billed"),
                                    ("last", "With the last milestone"),
                                ],
                                default="own",
                                max_length=6,
                                verbose_name="signed changes",
                            ),
                        ),
                        (
                            "special_order_currency",
                            djmoney.models.fields.CurrencyField(
                                choices=[("USD", "US Dollar")], default="USD", editable=False, max_length=3
                            ),
                        ),
                        (
                            "special_order",
                            djmoney.models.fields.MoneyField(
                                decimal_places=2,
                                default=djmoney.money.Money(0, "USD"),
                                max_digits=12,
                                verbose_name="cost of material on special order",
                            ),
                        ),
                        (
                            "pays_after_days",
                            models.PositiveSmallIntegerField(
                                default=0, verbose_name="days until the client pays a bill"
                            ),
                        ),
                        (
                            "job",
                            models.OneToOneField(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="payment_plan",
                                to="estimating.job",
                            ),
                        ),
                    ],
                ),
                migrations.AddField(
                    model_name="milestone",
                    name="plan",
                    field=models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="milestones",
                        to="invoicing.paymentplan",
                    ),
                ),
                migrations.CreateModel(
                    name="PlacedPart",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("by_measure", models.BooleanField(default=False)),
                        (
                            "amount_currency",
                            djmoney.models.fields.CurrencyField(
                                choices=[("USD", "US Dollar")], default="USD", editable=False, max_length=3
                            ),
                        ),
                        ("amount", djmoney.models.fields.MoneyField(decimal_places=2, max_digits=12)),
                        (
                            "taxable_currency",
                            djmoney.models.fields.CurrencyField(
                                choices=[("USD", "US Dollar")], default="USD", editable=False, max_length=3
                            ),
                        ),
                        (
                            "taxable",
                            djmoney.models.fields.MoneyField(
                                decimal_places=2, default=djmoney.money.Money(0, "USD"), max_digits=12
                            ),
                        ),
                        (
                            "document",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="placed_parts",
                                to="estimating.document",
                            ),
                        ),
                        (
                            "milestone",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="placed_parts",
                                to="invoicing.milestone",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["document", "by_measure", "milestone__position", "pk"],
                    },
                ),
                migrations.CreateModel(
                    name="PlannedChange",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        (
                            "goes",
                            models.CharField(
                                choices=[
                                    ("own", "A line of its own"),
                                    ("spread", "Spread over the milestones that are still to be billed"),
                                    ("last", "With the last milestone"),
                                ],
                                max_length=6,
                                verbose_name="its money goes to",
                            ),
                        ),
                        (
                            "change",
                            models.OneToOneField(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="planned",
                                to="estimating.changeorder",
                            ),
                        ),
                        (
                            "milestone",
                            models.ForeignKey(
                                null=True,
                                on_delete=django.db.models.deletion.SET_NULL,
                                related_name="+",
                                to="invoicing.milestone",
                            ),
                        ),
                    ],
                ),
                migrations.CreateModel(
                    name="PlannedCost",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("says", models.CharField(max_length=80, verbose_name="what for")),
                        (
                            "amount_currency",
                            djmoney.models.fields.CurrencyField(
                                choices=[("USD", "US Dollar")], default="USD", editable=False, max_length=3
                            ),
                        ),
                        ("amount", djmoney.models.fields.MoneyField(decimal_places=2, max_digits=12)),
                        ("on", models.DateField(verbose_name="on")),
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
                                verbose_name="part of what is bought to",
                            ),
                        ),
                        (
                            "plan",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="costs",
                                to="invoicing.paymentplan",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["plan", "on", "pk"],
                    },
                ),
                migrations.CreateModel(
                    name="PlannedPart",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        (
                            "amount_currency",
                            djmoney.models.fields.CurrencyField(
                                choices=[("USD", "US Dollar")], default="USD", editable=False, max_length=3
                            ),
                        ),
                        ("amount", djmoney.models.fields.MoneyField(decimal_places=2, max_digits=12)),
                        (
                            "taxable_currency",
                            djmoney.models.fields.CurrencyField(
                                choices=[("USD", "US Dollar")], default="USD", editable=False, max_length=3
                            ),
                        ),
                        (
                            "taxable",
                            djmoney.models.fields.MoneyField(
                                decimal_places=2, default=djmoney.money.Money(0, "USD"), max_digits=12
                            ),
                        ),
                        (
                            "change",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="planned_parts",
                                to="estimating.changeorder",
                            ),
                        ),
                        (
                            "milestone",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="+",
                                to="invoicing.milestone",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["change", "pk"],
                    },
                ),
                migrations.CreateModel(
                    name="Reminder",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        (
                            "step",
                            models.CharField(
                                choices=[
                                    ("Reminder", "Reminder"),
                                    ("Second reminder", "Second reminder"),
                                    ("Formal demand", "Formal demand"),
                                ],
                                max_length=15,
                            ),
                        ),
                        (
                            "open",
                            models.DecimalField(
                                decimal_places=2,
                                max_digits=14,
                                validators=[django.core.validators.MinValueValidator(Decimal("0"))],
                            ),
                        ),
                        ("to", models.CharField(max_length=254)),
                        ("text", models.TextField()),
                        ("at", models.DateTimeField()),
                        (
                            "invoice",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to="estimating.document",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["at", "pk"],
                    },
                ),
                migrations.CreateModel(
                    name="WorkDays",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("first", models.DateField(blank=True, null=True, verbose_name="first day of work")),
                        ("last", models.DateField(blank=True, null=True, verbose_name="last day of work")),
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
                    name="Billed",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        (
                            "place",
                            models.PositiveIntegerField(
                                validators=[django.core.validators.MinValueValidator(1)]
                            ),
                        ),
                        (
                            "corrects",
                            models.ForeignKey(
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="credited_by",
                                to="estimating.document",
                            ),
                        ),
                        (
                            "document",
                            models.OneToOneField(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="billed",
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
                        "ordering": ["job", "place"],
                        "constraints": [
                            models.UniqueConstraint(fields=("job", "place"), name="one_bill_at_a_place")
                        ],
                    },
                ),
                migrations.CreateModel(
                    name="FinishedWork",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("key", models.CharField(max_length=40)),
                        ("finished_on", models.DateField()),
                        (
                            "document",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="finished_work",
                                to="estimating.document",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["document", "pk"],
                        "constraints": [
                            models.UniqueConstraint(fields=("document", "key"), name="finished_once")
                        ],
                    },
                ),
                migrations.CreateModel(
                    name="KeptMonth",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("month", models.DateField(verbose_name="first day")),
                        ("billed", models.BigIntegerField()),
                        ("taxable", models.BigIntegerField()),
                        ("tax", models.BigIntegerField()),
                        ("tax_paid", models.BigIntegerField()),
                        (
                            "client",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="+",
                                to="estimating.client",
                            ),
                        ),
                    ],
                    options={
                        "constraints": [
                            models.UniqueConstraint(fields=("month", "client"), name="one_month_of_a_client")
                        ],
                    },
                ),
                migrations.CreateModel(
                    name="MilestonePhoto",
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
                            "milestone",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="photos",
                                to="invoicing.milestone",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["milestone", "pk"],
                        "constraints": [
                            models.UniqueConstraint(
                                fields=("milestone", "sha256"), name="a_milestone_photo_once"
                            )
                        ],
                    },
                ),
                migrations.AddConstraint(
                    model_name="payment",
                    constraint=models.CheckConstraint(
                        condition=models.Q(("amount__gt", Decimal("0"))), name="money_that_moved"
                    ),
                ),
                migrations.AddConstraint(
                    model_name="payment",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("kind", "return"), ("of__isnull", False)),
                            models.Q(models.Q(("kind", "return"), _negated=True), ("of", None)),
                            _connector="OR",
                        ),
                        name="a_return_names_its_payment",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="paymentfor",
                    constraint=models.UniqueConstraint(
                        fields=("payment", "invoice"), name="a_payment_names_an_invoice_once"
                    ),
                ),
                migrations.AddConstraint(
                    model_name="placedpart",
                    constraint=models.UniqueConstraint(
                        fields=("document", "by_measure", "milestone"),
                        name="one_part_of_a_change_in_a_milestone",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="reminder",
                    constraint=models.UniqueConstraint(
                        fields=("invoice", "step"), name="a_step_is_taken_once"
                    ),
                ),
            ]
        ),
    ]
