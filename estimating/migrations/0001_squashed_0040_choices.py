"""All migrations up to 0040 in one, for a new database; one that has them keeps them."""

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
        ("estimating", "0001_initial"),
        ("estimating", "0002_documents"),
        ("estimating", "0003_client_links_and_acceptances"),
        ("estimating", "0004_change_orders"),
        ("estimating", "0005_boards"),
        ("estimating", "0006_american_words"),
        ("estimating", "0007_job_state"),
        ("estimating", "0008_if_we_find"),
        ("estimating", "0009_cancellation"),
        ("estimating", "0010_joint_measures"),
        ("estimating", "0011_floor_into_doorways"),
        ("estimating", "0012_board_sizes"),
        ("estimating", "0013_least_of_a_condition"),
        ("estimating", "0014_tax_rates_of_four_decimals"),
        ("estimating", "0015_american_names"),
        ("estimating", "0016_waiting_mails"),
        ("estimating", "0017_no_missed_guesses"),
        ("estimating", "0018_given_up"),
        ("estimating", "0019_work_list_undone_and_priced_by_hand"),
        ("estimating", "0020_first_step_ticks"),
        ("estimating", "0021_first_page"),
        ("estimating", "0022_job_page"),
        ("estimating", "0023_printed_numbers"),
        ("estimating", "0024_signed_on_the_spot"),
        ("estimating", "0025_days_told"),
        ("estimating", "0026_options_of_several_lines"),
        ("estimating", "0027_statements_are_sent"),
        ("estimating", "0028_words_of_the_trade"),
        ("estimating", "0029_photos_of_an_estimate"),
        ("estimating", "0030_work_begins"),
        ("estimating", "0031_any_mail_waits"),
        ("estimating", "0032_ceilings_and_places"),
        ("estimating", "0033_boxes_and_lights_in_place"),
        ("estimating", "0034_photos_of_rooms"),
        ("estimating", "0035_one_outbox"),
        ("estimating", "0036_indexes_for_long_lists"),
        ("estimating", "0037_what_makes_work_take_longer"),
        ("estimating", "0038_certificates_of_completion"),
        ("estimating", "0039_lien_waivers"),
        ("estimating", "0040_choices"),
    ]

    initial = True

    dependencies = [
        ("catalog", "0001_squashed_0023_pay_link"),
    ]

    operations = [
        CreateTables(
            [
                migrations.CreateModel(
                    name="Client",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("name", models.CharField(max_length=120)),
                        ("address", models.TextField(blank=True, max_length=400)),
                        ("phone", models.CharField(blank=True, max_length=40)),
                        ("email", models.EmailField(blank=True, max_length=254, verbose_name="e-mail")),
                    ],
                    options={
                        "ordering": ["name", "pk"],
                    },
                ),
                migrations.CreateModel(
                    name="Counter",
                    fields=[
                        ("series", models.CharField(max_length=40, primary_key=True, serialize=False)),
                        ("last", models.PositiveBigIntegerField()),
                    ],
                ),
                migrations.CreateModel(
                    name="Estimate",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("dated", models.DateField(verbose_name="date")),
                        (
                            "labor_rate_currency",
                            djmoney.models.fields.CurrencyField(
                                choices=[("USD", "US Dollar")], default="USD", editable=False, max_length=3
                            ),
                        ),
                        (
                            "labor_rate",
                            djmoney.models.fields.MoneyField(
                                decimal_places=2, max_digits=9, verbose_name="labor cost an hour"
                            ),
                        ),
                        (
                            "labor_markup",
                            catalog.fields.model.MarkupField(max_length=40, verbose_name="on labor"),
                        ),
                        (
                            "material_markup",
                            catalog.fields.model.MarkupField(max_length=40, verbose_name="on material"),
                        ),
                        (
                            "equipment_markup",
                            catalog.fields.model.MarkupField(max_length=40, verbose_name="on equipment"),
                        ),
                        (
                            "subcontract_markup",
                            catalog.fields.model.MarkupField(max_length=40, verbose_name="on subcontracts"),
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
                                verbose_name="minimum charge for the job",
                            ),
                        ),
                        (
                            "hours_per_day",
                            models.DecimalField(
                                decimal_places=2, max_digits=4, verbose_name="working hours in a day"
                            ),
                        ),
                        (
                            "run_hours",
                            models.DecimalField(
                                decimal_places=2, max_digits=4, verbose_name="hours of one supply run"
                            ),
                        ),
                        (
                            "days_per_run",
                            models.PositiveSmallIntegerField(verbose_name="working days that one run serves"),
                        ),
                        (
                            "runs",
                            models.PositiveSmallIntegerField(
                                blank=True, null=True, verbose_name="supply runs"
                            ),
                        ),
                        (
                            "visit_hours",
                            models.DecimalField(
                                decimal_places=2, max_digits=4, verbose_name="hours lost on a return visit"
                            ),
                        ),
                        ("valid_days", models.PositiveSmallIntegerField(verbose_name="days it is valid")),
                        (
                            "detail",
                            models.CharField(
                                choices=[
                                    ("total", "Total only"),
                                    ("phase", "A price for each phase"),
                                    ("line", "A price for each line"),
                                ],
                                max_length=5,
                                verbose_name="prices that the client sees",
                            ),
                        ),
                        (
                            "scope_by",
                            models.CharField(
                                choices=[("work", "By kind of work"), ("room", "By room")],
                                default="work",
                                max_length=4,
                                verbose_name="scope that the client sees",
                            ),
                        ),
                        (
                            "show_trips",
                            models.BooleanField(
                                default=False, verbose_name="show trips as a line of their own"
                            ),
                        ),
                        (
                            "summary",
                            models.TextField(
                                blank=True, max_length=600, verbose_name="what it is about, in two sentences"
                            ),
                        ),
                        (
                            "letter",
                            models.TextField(
                                blank=True,
                                max_length=2000,
                                verbose_name="a few words to the client, before the work",
                            ),
                        ),
                        (
                            "assumptions",
                            models.TextField(
                                blank=True, max_length=4000, verbose_name="assumptions, one a line"
                            ),
                        ),
                        (
                            "exclusions",
                            models.TextField(
                                blank=True, max_length=4000, verbose_name="not included, one a line"
                            ),
                        ),
                        (
                            "left_as_is",
                            models.TextField(
                                blank=True, max_length=4000, verbose_name="existing to remain, one a line"
                            ),
                        ),
                        ("terms", models.TextField(blank=True, max_length=4000, verbose_name="terms")),
                        (
                            "opened",
                            models.TextField(
                                blank=True,
                                max_length=2000,
                                verbose_name="what was opened and looked at before this price, one a line",
                            ),
                        ),
                        (
                            "change_markup",
                            catalog.fields.model.MarkupField(
                                default=catalog.models.firm.first_markup,
                                max_length=40,
                                verbose_name="on what a change buys",
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
                    ],
                    options={
                        "ordering": ["-dated", "-pk"],
                    },
                ),
                migrations.CreateModel(
                    name="FirstStepTick",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("code", models.CharField(max_length=10, unique=True)),
                    ],
                ),
                migrations.CreateModel(
                    name="BoardRules",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        (
                            "gap_nm",
                            models.BigIntegerField(blank=True, null=True, verbose_name="gap between boards"),
                        ),
                        (
                            "perimeter_gap_nm",
                            models.BigIntegerField(
                                blank=True, null=True, verbose_name="gap at walls and fixed things"
                            ),
                        ),
                        ("kerf_nm", models.BigIntegerField(blank=True, null=True, verbose_name="kerf")),
                        (
                            "min_offset_nm",
                            models.BigIntegerField(
                                blank=True, null=True, verbose_name="least offset of joints"
                            ),
                        ),
                        (
                            "min_piece_nm",
                            models.BigIntegerField(
                                blank=True, null=True, verbose_name="least side of a piece"
                            ),
                        ),
                        (
                            "fastener_spacing_nm",
                            models.BigIntegerField(blank=True, null=True, verbose_name="fastener spacing"),
                        ),
                        (
                            "edge_nm",
                            models.BigIntegerField(blank=True, null=True, verbose_name="edge distance"),
                        ),
                        (
                            "corner_clear_nm",
                            models.BigIntegerField(
                                blank=True, null=True, verbose_name="joints clear of corners"
                            ),
                        ),
                        (
                            "may_turn",
                            models.BooleanField(blank=True, null=True, verbose_name="boards may be turned"),
                        ),
                        (
                            "source",
                            models.TextField(
                                blank=True, max_length=1000, verbose_name="where these rules come from"
                            ),
                        ),
                        (
                            "material",
                            models.OneToOneField(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="board_rules",
                                to="catalog.material",
                            ),
                        ),
                    ],
                    options={
                        "verbose_name_plural": "board rules",
                    },
                ),
                migrations.CreateModel(
                    name="Document",
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
                                    ("estimate", "Estimate"),
                                    ("change_order", "Change order"),
                                    ("invoice", "Invoice"),
                                    ("credit_note", "Credit note"),
                                    ("receipt", "Receipt"),
                                    ("statement", "Statement"),
                                    ("completion", "Certificate of completion"),
                                    ("waiver", "Lien waiver"),
                                ],
                                max_length=12,
                            ),
                        ),
                        ("series", models.CharField(max_length=40)),
                        ("prefix", models.CharField(blank=True, db_default="", default="", max_length=4)),
                        ("number", models.PositiveIntegerField()),
                        ("issue_key", models.CharField(max_length=64, unique=True)),
                        ("snapshot", models.TextField()),
                        ("snapshot_sha256", models.CharField(max_length=64)),
                        ("basis", models.TextField()),
                        ("basis_sha256", models.CharField(max_length=64)),
                        ("pdf", models.BinaryField()),
                        ("pdf_sha256", models.CharField(max_length=64)),
                        ("issued_at", models.DateTimeField()),
                        ("dated", models.DateField()),
                        ("valid_to", models.DateField(null=True)),
                        (
                            "total_currency",
                            djmoney.models.fields.CurrencyField(
                                choices=[("USD", "US Dollar")], default="USD", editable=False, max_length=3
                            ),
                        ),
                        ("total", djmoney.models.fields.MoneyField(decimal_places=2, max_digits=14)),
                        (
                            "supersedes",
                            models.OneToOneField(
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="superseded_by",
                                to="estimating.document",
                            ),
                        ),
                        (
                            "estimate",
                            models.ForeignKey(
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="documents",
                                to="estimating.estimate",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["-issued_at", "-pk"],
                        "base_manager_name": "objects",
                    },
                ),
                migrations.CreateModel(
                    name="ClientLink",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("name", models.CharField(max_length=120)),
                        ("email", models.EmailField(blank=True, max_length=254, verbose_name="e-mail")),
                        (
                            "secret_sha256",
                            models.CharField(blank=True, max_length=64, null=True, unique=True),
                        ),
                        ("once", models.CharField(max_length=64, unique=True)),
                        ("made_at", models.DateTimeField()),
                        ("mailed_at", models.DateTimeField(null=True)),
                        ("first_used_at", models.DateTimeField(null=True)),
                        ("opened_at", models.DateTimeField(null=True)),
                        ("expires_at", models.DateTimeField()),
                        ("withdrawn_at", models.DateTimeField(null=True)),
                        ("code_hash", models.CharField(blank=True, max_length=64)),
                        ("code_sent_at", models.DateTimeField(null=True)),
                        ("code_tries", models.PositiveSmallIntegerField(default=0)),
                        (
                            "document",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="links",
                                to="estimating.document",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["-made_at", "-pk"],
                    },
                ),
                migrations.CreateModel(
                    name="Acceptance",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        (
                            "way",
                            models.CharField(
                                choices=[
                                    ("page", "On the client's page"),
                                    ("paper", "On paper"),
                                    ("given", "Given by the firm"),
                                    ("here", "On the contractor's device"),
                                ],
                                max_length=5,
                            ),
                        ),
                        ("name", models.CharField(max_length=120)),
                        ("at", models.DateTimeField()),
                        ("signed_on", models.DateField()),
                        (
                            "total_currency",
                            djmoney.models.fields.CurrencyField(
                                choices=[("USD", "US Dollar")], default="USD", editable=False, max_length=3
                            ),
                        ),
                        ("total", djmoney.models.fields.MoneyField(decimal_places=2, max_digits=14)),
                        ("record", models.TextField()),
                        ("record_sha256", models.CharField(max_length=64)),
                        ("event_hash", models.CharField(max_length=64)),
                        (
                            "link",
                            models.ForeignKey(
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="acceptances",
                                to="estimating.clientlink",
                            ),
                        ),
                        (
                            "document",
                            models.OneToOneField(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="acceptance",
                                to="estimating.document",
                            ),
                        ),
                    ],
                ),
                migrations.CreateModel(
                    name="DocumentEvent",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("place", models.PositiveBigIntegerField(unique=True)),
                        (
                            "kind",
                            models.CharField(
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
                                    ("dates", "Days told"),
                                    ("chosen", "Chosen"),
                                    ("withdrawn", "Withdrawn"),
                                    ("superseded", "Replaced"),
                                    ("canceled", "Canceled"),
                                ],
                                max_length=10,
                            ),
                        ),
                        ("at", models.DateTimeField()),
                        ("data", models.TextField()),
                        ("previous_hash", models.CharField(max_length=64, unique=True)),
                        ("hash", models.CharField(max_length=64, unique=True)),
                        (
                            "document",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="events",
                                to="estimating.document",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["place"],
                    },
                ),
                migrations.CreateModel(
                    name="Allowance",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("position", models.PositiveSmallIntegerField(default=0)),
                        ("name", models.CharField(max_length=120)),
                        (
                            "basis",
                            models.CharField(
                                choices=[
                                    ("cost", "At cost: tax and markup are added"),
                                    ("price", "At price: the client sees this sum"),
                                ],
                                default="cost",
                                max_length=5,
                            ),
                        ),
                        (
                            "amount_currency",
                            djmoney.models.fields.CurrencyField(
                                choices=[("USD", "US Dollar")], default="USD", editable=False, max_length=3
                            ),
                        ),
                        ("amount", djmoney.models.fields.MoneyField(decimal_places=2, max_digits=10)),
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
                                default="set",
                                max_length=10,
                            ),
                        ),
                        ("covers_labor", models.BooleanField(default=False, verbose_name="labor to set it")),
                        ("covers_tax", models.BooleanField(default=True, verbose_name="sales tax")),
                        ("covers_delivery", models.BooleanField(default=False, verbose_name="delivery")),
                        ("decide_by", models.DateField(blank=True, null=True)),
                        (
                            "estimate",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="allowances",
                                to="estimating.estimate",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["estimate", "position", "pk"],
                    },
                ),
                migrations.CreateModel(
                    name="HiddenCondition",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("position", models.PositiveSmallIntegerField(default=0)),
                        (
                            "name",
                            models.CharField(
                                max_length=120, verbose_name="what may be found, and what is done"
                            ),
                        ),
                        (
                            "unit",
                            models.CharField(
                                choices=[
                                    ("sq ft", "sq ft"),
                                    ("ft", "ft"),
                                    ("m2", "m²"),
                                    ("m", "m"),
                                    ("each", "each"),
                                    ("hour", "hour"),
                                    ("day", "day"),
                                ],
                                max_length=5,
                                verbose_name="counted by",
                            ),
                        ),
                        (
                            "price_currency",
                            djmoney.models.fields.CurrencyField(
                                choices=[("USD", "US Dollar")],
                                default="USD",
                                editable=False,
                                max_length=3,
                                null=True,
                            ),
                        ),
                        (
                            "price",
                            djmoney.models.fields.MoneyField(
                                blank=True,
                                decimal_places=2,
                                max_digits=10,
                                null=True,
                                verbose_name="price of one",
                            ),
                        ),
                        (
                            "usual",
                            models.DecimalField(
                                blank=True,
                                decimal_places=2,
                                max_digits=9,
                                null=True,
                                validators=[django.core.validators.MinValueValidator(Decimal("0.01"))],
                                verbose_name="worked out for",
                            ),
                        ),
                        (
                            "least",
                            models.DecimalField(
                                blank=True,
                                decimal_places=2,
                                max_digits=9,
                                null=True,
                                validators=[django.core.validators.MinValueValidator(Decimal("0.01"))],
                                verbose_name="minimum",
                            ),
                        ),
                        (
                            "most",
                            models.DecimalField(
                                decimal_places=2,
                                max_digits=9,
                                validators=[django.core.validators.MinValueValidator(Decimal("0.01"))],
                                verbose_name="limit",
                            ),
                        ),
                        (
                            "by_receipt",
                            models.BooleanField(
                                default=False,
                                verbose_name="what is bought for it comes on top, by its receipt",
                            ),
                        ),
                        ("caution", models.TextField(blank=True, max_length=400)),
                        (
                            "assembly",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to="catalog.assembly",
                            ),
                        ),
                        (
                            "estimate",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="conditions",
                                to="estimating.estimate",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["estimate", "position", "pk"],
                    },
                ),
                migrations.CreateModel(
                    name="Job",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("name", models.CharField(max_length=120, verbose_name="job")),
                        ("address", models.TextField(max_length=400, verbose_name="address of the work")),
                        (
                            "state",
                            models.CharField(
                                blank=True,
                                choices=[
                                    ("AL", "Alabama"),
                                    ("AK", "Alaska"),
                                    ("AZ", "Arizona"),
                                    ("AR", "Arkansas"),
                                    ("CA", "California"),
                                    ("CO", "Colorado"),
                                    ("CT", "Connecticut"),
                                    ("DE", "Delaware"),
                                    ("DC", "District of Columbia"),
                                    ("FL", "Florida"),
                                    ("GA", "Georgia"),
                                    ("HI", "Hawaii"),
                                    ("ID", "Idaho"),
                                    ("IL", "Illinois"),
                                    ("IN", "Indiana"),
                                    ("IA", "Iowa"),
                                    ("KS", "Kansas"),
                                    ("KY", "Kentucky"),
                                    ("LA", "Louisiana"),
                                    ("ME", "Maine"),
                                    ("MD", "Maryland"),
                                    ("MA", "Massachusetts"),
                                    ("MI", "Michigan"),
                                    ("MN", "Minnesota"),
                                    ("MS", "Mississippi"),
                                    ("MO", "Missouri"),
                                    ("MT", "Montana"),
                                    ("NE", "Nebraska"),
                                    ("NV", "Nevada"),
                                    ("NH", "New Hampshire"),
                                    ("NJ", "New Jersey"),
                                    ("NM", "New Mexico"),
                                    ("NY", "New York"),
                                    ("NC", "North Carolina"),
                                    ("ND", "North Dakota"),
                                    ("OH", "Ohio"),
                                    ("OK", "Oklahoma"),
                                    ("OR", "Oregon"),
                                    ("PA", "Pennsylvania"),
                                    ("RI", "Rhode Island"),
                                    ("SC", "South Carolina"),
                                    ("SD", "South Dakota"),
                                    ("TN", "Tennessee"),
                                    ("TX", "Texas"),
                                    ("UT", "Utah"),
                                    ("VT", "Vermont"),
                                    ("VA", "Virginia"),
                                    ("WA", "Washington"),
                                    ("WV", "West Virginia"),
                                    ("WI", "Wisconsin"),
                                    ("WY", "Wyoming"),
                                ],
                                max_length=2,
                                verbose_name="state of the work",
                            ),
                        ),
                        (
                            "year_built",
                            models.PositiveSmallIntegerField(
                                blank=True,
                                null=True,
                                validators=[
                                    django.core.validators.MinValueValidator(1600),
                                    django.core.validators.MaxValueValidator(2100),
                                ],
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
                            "signing_place",
                            models.CharField(
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
                        (
                            "notes",
                            models.TextField(blank=True, max_length=4000, verbose_name="notes, for you only"),
                        ),
                        ("requested_on", models.DateField(verbose_name="asked for on")),
                        (
                            "quote_due_on",
                            models.DateField(blank=True, null=True, verbose_name="estimate promised for"),
                        ),
                        (
                            "work_begins_on",
                            models.DateField(blank=True, null=True, verbose_name="work begins on"),
                        ),
                        ("closed", models.BooleanField(default=False, verbose_name="closed")),
                        (
                            "client",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="jobs",
                                to="estimating.client",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["-requested_on", "-pk"],
                    },
                ),
                migrations.AddField(
                    model_name="estimate",
                    name="job",
                    field=models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="estimates",
                        to="estimating.job",
                    ),
                ),
                migrations.AddField(
                    model_name="document",
                    name="job",
                    field=models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="documents",
                        to="estimating.job",
                    ),
                ),
                migrations.CreateModel(
                    name="BoardSize",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        (
                            "board",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="+",
                                to="catalog.material",
                            ),
                        ),
                        (
                            "instead",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to="catalog.material",
                            ),
                        ),
                        (
                            "job",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="board_sizes",
                                to="estimating.job",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["job", "board"],
                    },
                ),
                migrations.CreateModel(
                    name="JobLink",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("name", models.CharField(max_length=120)),
                        ("email", models.EmailField(blank=True, max_length=254, verbose_name="e-mail")),
                        ("seed", models.CharField(max_length=64)),
                        ("secret_sha256", models.CharField(max_length=64, unique=True)),
                        ("made_at", models.DateTimeField()),
                        ("expires_at", models.DateTimeField()),
                        ("first_used_at", models.DateTimeField(null=True)),
                        ("withdrawn_at", models.DateTimeField(null=True)),
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
                        "ordering": ["-made_at", "-pk"],
                    },
                ),
                migrations.AddField(
                    model_name="clientlink",
                    name="job_link",
                    field=models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="papers",
                        to="estimating.joblink",
                    ),
                ),
                migrations.CreateModel(
                    name="Room",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("name", models.CharField(max_length=80)),
                        ("position", models.PositiveSmallIntegerField(default=0)),
                        (
                            "shape",
                            models.CharField(
                                choices=[
                                    ("rectangle", "Rectangle"),
                                    ("l", "L"),
                                    ("walk", "Odd shape, wall by wall"),
                                ],
                                default="rectangle",
                                max_length=9,
                            ),
                        ),
                        ("entry", models.JSONField(default=dict)),
                        ("legs", models.JSONField(default=list)),
                        ("height_nm", models.BigIntegerField(verbose_name="ceiling height")),
                        ("heights", models.JSONField(default=list)),
                        ("electrical", models.JSONField(default=list)),
                        (
                            "device_boxes",
                            models.PositiveSmallIntegerField(default=0, verbose_name="switches and outlets"),
                        ),
                        ("ceiling_lights", models.PositiveSmallIntegerField(default=0)),
                        ("balanced", models.BooleanField(default=False)),
                        ("notes", models.TextField(blank=True, max_length=2000)),
                        (
                            "job",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="rooms",
                                to="estimating.job",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["job", "position", "pk"],
                    },
                ),
                migrations.CreateModel(
                    name="Opening",
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
                                    ("door", "Door"),
                                    ("window", "Window"),
                                    ("cased", "Cased opening"),
                                    ("niche", "Niche"),
                                ],
                                max_length=6,
                            ),
                        ),
                        ("name", models.CharField(blank=True, max_length=60)),
                        ("wall", models.PositiveSmallIntegerField()),
                        ("width_nm", models.BigIntegerField(verbose_name="width")),
                        ("height_nm", models.BigIntegerField(verbose_name="height")),
                        ("sill_nm", models.BigIntegerField(default=0, verbose_name="sill above floor")),
                        (
                            "offset_nm",
                            models.BigIntegerField(
                                blank=True, null=True, verbose_name="from the wall's start"
                            ),
                        ),
                        ("recess_nm", models.BigIntegerField(default=0, verbose_name="depth into the wall")),
                        (
                            "room",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="openings",
                                to="estimating.room",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["room", "wall", "pk"],
                    },
                ),
                migrations.CreateModel(
                    name="KeptLayout",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("surface", models.CharField(max_length=20)),
                        ("board", models.SlugField(max_length=80)),
                        ("key", models.CharField(max_length=64)),
                        ("found", models.JSONField()),
                        (
                            "room",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="kept_layouts",
                                to="estimating.room",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["room", "surface", "pk"],
                    },
                ),
                migrations.CreateModel(
                    name="FixedFootprint",
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
                                    ("cabinets", "Cabinets"),
                                    ("tub", "Tub or shower"),
                                    ("island", "Island"),
                                    ("column", "Column"),
                                    ("soffit", "Soffit"),
                                    ("other", "Something else"),
                                ],
                                max_length=8,
                            ),
                        ),
                        ("name", models.CharField(blank=True, max_length=60)),
                        ("wall", models.PositiveSmallIntegerField(blank=True, null=True)),
                        (
                            "offset_nm",
                            models.BigIntegerField(
                                blank=True, null=True, verbose_name="from the wall's start"
                            ),
                        ),
                        (
                            "off_wall_nm",
                            models.BigIntegerField(blank=True, null=True, verbose_name="off the wall"),
                        ),
                        ("length_nm", models.BigIntegerField(verbose_name="length")),
                        ("depth_nm", models.BigIntegerField(verbose_name="depth")),
                        ("height_nm", models.BigIntegerField(blank=True, null=True, verbose_name="height")),
                        ("off_floor", models.BooleanField(default=False, verbose_name="floor stops at it")),
                        ("off_base", models.BooleanField(default=True, verbose_name="no base along it")),
                        (
                            "off_walls",
                            models.BooleanField(default=False, verbose_name="wall behind it is left out"),
                        ),
                        (
                            "room",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="footprints",
                                to="estimating.room",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["room", "pk"],
                    },
                ),
                migrations.CreateModel(
                    name="BoardChoice",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("surface", models.CharField(max_length=20)),
                        (
                            "corner",
                            models.CharField(
                                blank=True,
                                choices=[
                                    ("sw", "Lower left"),
                                    ("se", "Lower right"),
                                    ("nw", "Upper left"),
                                    ("ne", "Upper right"),
                                ],
                                max_length=2,
                                verbose_name="start in the corner",
                            ),
                        ),
                        (
                            "along",
                            models.CharField(
                                blank=True,
                                choices=[("x", "Across the drawing"), ("y", "Up and down the drawing")],
                                max_length=1,
                                verbose_name="courses run",
                            ),
                        ),
                        (
                            "first_width_nm",
                            models.BigIntegerField(
                                blank=True, null=True, verbose_name="width of the first course"
                            ),
                        ),
                        (
                            "first_piece_nm",
                            models.BigIntegerField(
                                blank=True, null=True, verbose_name="length of the first piece"
                            ),
                        ),
                        (
                            "extra",
                            models.PositiveSmallIntegerField(
                                default=0,
                                validators=[django.core.validators.MaxValueValidator(50)],
                                verbose_name="bought besides",
                            ),
                        ),
                        (
                            "material",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="+",
                                to="catalog.material",
                            ),
                        ),
                        (
                            "room",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="board_choices",
                                to="estimating.room",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["room", "surface", "pk"],
                    },
                ),
                migrations.CreateModel(
                    name="RoomPhoto",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("number", models.PositiveSmallIntegerField()),
                        ("wall", models.PositiveSmallIntegerField(blank=True, null=True)),
                        (
                            "along_nm",
                            models.BigIntegerField(
                                blank=True, null=True, verbose_name="from the wall's start"
                            ),
                        ),
                        ("away_nm", models.BigIntegerField(default=0, verbose_name="out from the wall")),
                        (
                            "caption",
                            models.CharField(blank=True, max_length=120, verbose_name="what it shows"),
                        ),
                        ("taken_on", models.DateField()),
                        ("content", models.BinaryField()),
                        ("sha256", models.CharField(max_length=64)),
                        (
                            "room",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="photos",
                                to="estimating.room",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["number", "pk"],
                    },
                ),
                migrations.CreateModel(
                    name="EstimatePhoto",
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
                            "caption",
                            models.CharField(blank=True, max_length=120, verbose_name="what it shows"),
                        ),
                        ("is_opened", models.BooleanField(default=False, verbose_name="of what was opened")),
                        ("is_printed", models.BooleanField(default=True, verbose_name="on the estimate")),
                        (
                            "estimate",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="photos",
                                to="estimating.estimate",
                            ),
                        ),
                        (
                            "of_room",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.SET_NULL,
                                related_name="+",
                                to="estimating.roomphoto",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["estimate", "pk"],
                    },
                ),
                migrations.CreateModel(
                    name="Scan",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("content", models.BinaryField()),
                        ("content_type", models.CharField(max_length=40)),
                        ("sha256", models.CharField(max_length=64)),
                        (
                            "acceptance",
                            models.OneToOneField(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="scan",
                                to="estimating.acceptance",
                            ),
                        ),
                    ],
                ),
                migrations.CreateModel(
                    name="SetAside",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        (
                            "is_printed",
                            models.BooleanField(default=True, verbose_name="printed as not included"),
                        ),
                        (
                            "assembly",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="+",
                                to="catalog.assembly",
                            ),
                        ),
                        (
                            "estimate",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="asides",
                                to="estimating.estimate",
                            ),
                        ),
                    ],
                ),
                migrations.AddField(
                    model_name="estimate",
                    name="set_aside",
                    field=models.ManyToManyField(
                        related_name="+", through="estimating.SetAside", to="catalog.assembly"
                    ),
                ),
                migrations.CreateModel(
                    name="SignedCopy",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("pdf", models.BinaryField()),
                        ("pdf_sha256", models.CharField(max_length=64)),
                        (
                            "acceptance",
                            models.OneToOneField(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="copy",
                                to="estimating.acceptance",
                            ),
                        ),
                    ],
                ),
                migrations.CreateModel(
                    name="UndoStep",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("words", models.CharField(max_length=200)),
                        ("rows", models.JSONField()),
                        (
                            "estimate",
                            models.OneToOneField(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="undo_step",
                                to="estimating.estimate",
                            ),
                        ),
                    ],
                ),
                migrations.CreateModel(
                    name="WaitingMail",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("to", models.EmailField(blank=True, max_length=254)),
                        ("subject", models.CharField(blank=True, max_length=300)),
                        ("text", models.TextField(blank=True)),
                        (
                            "attached",
                            models.CharField(
                                blank=True,
                                choices=[
                                    ("paper", "The paper as it was issued"),
                                    ("signed", "The signed copy"),
                                ],
                                max_length=6,
                            ),
                        ),
                        ("calendar", models.BinaryField(null=True)),
                        ("note", models.TextField(blank=True)),
                        ("site", models.CharField(blank=True, max_length=200)),
                        ("next_at", models.DateTimeField(db_index=True, null=True)),
                        ("until", models.DateTimeField(null=True)),
                        ("tries", models.PositiveIntegerField(default=0)),
                        ("handed_at", models.DateTimeField(null=True)),
                        ("sent_at", models.DateTimeField(null=True)),
                        ("fault", models.CharField(blank=True, max_length=300)),
                        (
                            "document",
                            models.ForeignKey(
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="mails",
                                to="estimating.document",
                            ),
                        ),
                        (
                            "event",
                            models.ForeignKey(
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="mails",
                                to="estimating.documentevent",
                            ),
                        ),
                        (
                            "link",
                            models.ForeignKey(
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="mails",
                                to="estimating.clientlink",
                            ),
                        ),
                    ],
                ),
                migrations.CreateModel(
                    name="WorkItem",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("position", models.PositiveSmallIntegerField(default=0)),
                        ("title", models.CharField(max_length=120)),
                        (
                            "scope",
                            models.TextField(
                                blank=True, max_length=2000, verbose_name="what the client reads"
                            ),
                        ),
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
                            "is_option",
                            models.BooleanField(
                                default=False,
                                verbose_name="an option, outside the sum until the client takes it",
                            ),
                        ),
                        (
                            "option_name",
                            models.CharField(blank=True, max_length=120, verbose_name="name of the option"),
                        ),
                        ("decide_by", models.DateField(blank=True, null=True, verbose_name="decide by")),
                        (
                            "extra_hours",
                            models.DecimalField(
                                decimal_places=2,
                                default=0,
                                max_digits=7,
                                validators=[django.core.validators.MinValueValidator(0)],
                                verbose_name="hours",
                            ),
                        ),
                        (
                            "material_cost_currency",
                            djmoney.models.fields.CurrencyField(
                                choices=[("USD", "US Dollar")], default="USD", editable=False, max_length=3
                            ),
                        ),
                        (
                            "material_cost",
                            djmoney.models.fields.MoneyField(
                                decimal_places=2,
                                default=djmoney.money.Money(0, "USD"),
                                max_digits=10,
                                verbose_name="material cost",
                            ),
                        ),
                        (
                            "material_taxable",
                            models.BooleanField(
                                default=True, verbose_name="sales tax is charged on this material"
                            ),
                        ),
                        (
                            "equipment_cost_currency",
                            djmoney.models.fields.CurrencyField(
                                choices=[("USD", "US Dollar")], default="USD", editable=False, max_length=3
                            ),
                        ),
                        (
                            "equipment_cost",
                            djmoney.models.fields.MoneyField(
                                decimal_places=2,
                                default=djmoney.money.Money(0, "USD"),
                                max_digits=10,
                                verbose_name="equipment cost",
                            ),
                        ),
                        (
                            "subcontract_cost_currency",
                            djmoney.models.fields.CurrencyField(
                                choices=[("USD", "US Dollar")], default="USD", editable=False, max_length=3
                            ),
                        ),
                        (
                            "subcontract_cost",
                            djmoney.models.fields.MoneyField(
                                decimal_places=2,
                                default=djmoney.money.Money(0, "USD"),
                                max_digits=10,
                                verbose_name="subcontract cost",
                            ),
                        ),
                        (
                            "price_by_hand_currency",
                            djmoney.models.fields.CurrencyField(
                                choices=[("USD", "US Dollar")],
                                default="USD",
                                editable=False,
                                max_length=3,
                                null=True,
                            ),
                        ),
                        (
                            "price_by_hand",
                            djmoney.models.fields.MoneyField(
                                blank=True,
                                decimal_places=2,
                                default=None,
                                max_digits=10,
                                null=True,
                                verbose_name="price by hand, before tax",
                            ),
                        ),
                        (
                            "conditions",
                            models.CharField(
                                blank=True, max_length=120, verbose_name="what makes it take longer"
                            ),
                        ),
                        (
                            "assembly",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to="catalog.assembly",
                            ),
                        ),
                        (
                            "estimate",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="items",
                                to="estimating.estimate",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["estimate", "position", "pk"],
                    },
                ),
                migrations.CreateModel(
                    name="MeasureOverride",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
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
                            ),
                        ),
                        (
                            "amount",
                            models.DecimalField(
                                decimal_places=6,
                                max_digits=14,
                                validators=[django.core.validators.MinValueValidator(Decimal("0"))],
                            ),
                        ),
                        ("typed", models.CharField(max_length=80)),
                        ("reason", models.CharField(max_length=200)),
                        (
                            "item",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="overrides",
                                to="estimating.workitem",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["item", "pk"],
                    },
                ),
                migrations.CreateModel(
                    name="ClientSupply",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        (
                            "needed_by",
                            models.DateField(blank=True, null=True, verbose_name="needed on site by"),
                        ),
                        (
                            "material",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to="catalog.material",
                            ),
                        ),
                        (
                            "item",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="client_supplies",
                                to="estimating.workitem",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["item", "pk"],
                    },
                ),
                migrations.CreateModel(
                    name="ChangeOrder",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        (
                            "reason",
                            models.CharField(
                                choices=[
                                    ("client", "The client asked for it"),
                                    ("hidden", "Something hidden was found"),
                                    ("design", "The design changed"),
                                    ("code", "The code requires it"),
                                    ("ours", "The error is ours"),
                                    ("given", "Given up by the firm"),
                                ],
                                max_length=6,
                                verbose_name="why",
                            ),
                        ),
                        ("title", models.CharField(max_length=80, verbose_name="what it is about")),
                        (
                            "found",
                            models.TextField(
                                blank=True, max_length=2000, verbose_name="what was found or asked for"
                            ),
                        ),
                        ("asked_by", models.CharField(blank=True, max_length=120, verbose_name="who asked")),
                        (
                            "days",
                            models.SmallIntegerField(
                                default=0,
                                validators=[
                                    django.core.validators.MinValueValidator(-400),
                                    django.core.validators.MaxValueValidator(400),
                                ],
                                verbose_name="working days that it adds",
                            ),
                        ),
                        (
                            "payment",
                            models.CharField(blank=True, max_length=200, verbose_name="when it is paid"),
                        ),
                        (
                            "estimate",
                            models.OneToOneField(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="change",
                                to="estimating.estimate",
                            ),
                        ),
                        (
                            "job",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="changes",
                                to="estimating.job",
                            ),
                        ),
                        (
                            "time_and_material",
                            models.ManyToManyField(blank=True, related_name="+", to="estimating.workitem"),
                        ),
                    ],
                    options={
                        "ordering": ["job", "pk"],
                    },
                ),
                migrations.CreateModel(
                    name="WorkRoom",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("walls", models.CharField(blank=True, max_length=120)),
                        (
                            "item",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="in_rooms",
                                to="estimating.workitem",
                            ),
                        ),
                        (
                            "room",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="work",
                                to="estimating.room",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["item", "room__position", "pk"],
                    },
                ),
                migrations.AddField(
                    model_name="workitem",
                    name="rooms",
                    field=models.ManyToManyField(
                        related_name="+", through="estimating.WorkRoom", to="estimating.room"
                    ),
                ),
                migrations.CreateModel(
                    name="ChangePhoto",
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
                            "caption",
                            models.CharField(blank=True, max_length=120, verbose_name="what it shows"),
                        ),
                        (
                            "change",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="photos",
                                to="estimating.changeorder",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["change", "pk"],
                        "constraints": [
                            models.UniqueConstraint(fields=("change", "sha256"), name="a_photo_once")
                        ],
                    },
                ),
                migrations.CreateModel(
                    name="ChangeLine",
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
                                    ("agreed", "Work for a lump sum"),
                                    ("taken_out", "Work removed"),
                                    ("part_out", "A part of work removed"),
                                    ("brought", "Owner-furnished material"),
                                    ("choice", "A choice against its allowance"),
                                    ("found", "Found, at the price signed for it"),
                                    ("option", "An option, at the price signed for it"),
                                    ("given_up", "Given up by the firm"),
                                ],
                                max_length=9,
                            ),
                        ),
                        ("title", models.CharField(max_length=120, verbose_name="what")),
                        ("key", models.CharField(blank=True, max_length=40)),
                        (
                            "quantity",
                            models.DecimalField(
                                decimal_places=2,
                                default=1,
                                max_digits=9,
                                validators=[django.core.validators.MinValueValidator(Decimal("0.01"))],
                            ),
                        ),
                        ("unit", models.CharField(blank=True, max_length=20)),
                        (
                            "amount_currency",
                            djmoney.models.fields.CurrencyField(
                                choices=[("USD", "US Dollar")], default="USD", editable=False, max_length=3
                            ),
                        ),
                        (
                            "amount",
                            djmoney.models.fields.MoneyField(
                                decimal_places=2, default=djmoney.money.Money(0, "USD"), max_digits=10
                            ),
                        ),
                        (
                            "taxable_currency",
                            djmoney.models.fields.CurrencyField(
                                choices=[("USD", "US Dollar")], default="USD", editable=False, max_length=3
                            ),
                        ),
                        (
                            "taxable",
                            djmoney.models.fields.MoneyField(
                                decimal_places=2, default=djmoney.money.Money(0, "USD"), max_digits=10
                            ),
                        ),
                        (
                            "change",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="lines",
                                to="estimating.changeorder",
                            ),
                        ),
                        (
                            "document",
                            models.ForeignKey(
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to="estimating.document",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["change", "pk"],
                        "constraints": [
                            models.UniqueConstraint(
                                condition=models.Q(("document__isnull", False)),
                                fields=("change", "document", "key"),
                                name="one_settlement_of_a_line",
                            )
                        ],
                    },
                ),
                migrations.AddIndex(
                    model_name="documentevent",
                    index=models.Index(fields=["kind", "document"], name="events_of_a_kind"),
                ),
                migrations.AddConstraint(
                    model_name="hiddencondition",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("assembly", None), ("price__isnull", False), ("usual", None)),
                            models.Q(
                                ("assembly__isnull", False), ("price__isnull", True), ("usual__isnull", False)
                            ),
                            _connector="OR",
                        ),
                        name="a_condition_is_typed_or_worked_out",
                    ),
                ),
                migrations.AddIndex(
                    model_name="job",
                    index=models.Index(fields=["closed", "requested_on"], name="jobs_in_order"),
                ),
                migrations.AddIndex(
                    model_name="document",
                    index=models.Index(fields=["issued_at", "id"], name="documents_in_order"),
                ),
                migrations.AddIndex(
                    model_name="document",
                    index=models.Index(fields=["dated", "kind", "job"], name="documents_of_a_day"),
                ),
                migrations.AddConstraint(
                    model_name="document",
                    constraint=models.UniqueConstraint(
                        fields=("series", "number"), name="one_document_of_a_number"
                    ),
                ),
                migrations.AddConstraint(
                    model_name="document",
                    constraint=models.CheckConstraint(
                        condition=models.Q(("series__startswith", models.F("kind"))),
                        name="a_series_is_of_one_kind",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="boardsize",
                    constraint=models.UniqueConstraint(fields=("job", "board"), name="one_size_of_a_board"),
                ),
                migrations.AddConstraint(
                    model_name="joblink",
                    constraint=models.UniqueConstraint(
                        condition=models.Q(("withdrawn_at", None)),
                        fields=("job", "name", "email"),
                        name="one_link_of_a_job_and_person",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="clientlink",
                    constraint=models.UniqueConstraint(
                        condition=models.Q(("withdrawn_at", None)),
                        fields=("document", "name", "email"),
                        name="one_link_of_a_document_and_person",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="keptlayout",
                    constraint=models.UniqueConstraint(fields=("room", "key"), name="one_layout_of_a_key"),
                ),
                migrations.AddConstraint(
                    model_name="boardchoice",
                    constraint=models.UniqueConstraint(
                        fields=("room", "surface", "material"), name="one_choice_of_a_place"
                    ),
                ),
                migrations.AddConstraint(
                    model_name="estimatephoto",
                    constraint=models.UniqueConstraint(
                        fields=("estimate", "sha256"), name="an_estimate_photo_once"
                    ),
                ),
                migrations.AddConstraint(
                    model_name="setaside",
                    constraint=models.UniqueConstraint(
                        fields=("estimate", "assembly"), name="set_aside_once"
                    ),
                ),
                migrations.AddConstraint(
                    model_name="measureoverride",
                    constraint=models.UniqueConstraint(
                        fields=("item", "measure"), name="one_override_of_a_measure"
                    ),
                ),
                migrations.AddConstraint(
                    model_name="clientsupply",
                    constraint=models.UniqueConstraint(
                        fields=("item", "material"), name="client_supplies_once"
                    ),
                ),
                migrations.AddConstraint(
                    model_name="workroom",
                    constraint=models.UniqueConstraint(fields=("item", "room"), name="one_line_of_a_room"),
                ),
            ]
        ),
    ]
