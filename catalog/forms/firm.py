"""Forms of the firm: who it is, how it measures and prices, and the year behind the price of an hour."""

from decimal import Decimal
from typing import Any

from django import forms

from catalog.fields.form import CountField, MarkupEntryField, NumberField, PriceField
from catalog.forms.model_form import ModelForm, reading_attrs, set_plain_messages
from catalog.models import Firm
from catalog.money.hourly_rate import HourlyRate, UnusableYear, Year, rate_from_year
from catalog.money.pay_link import pay_link_fault

DAY_HOURS = Decimal(24)
LONG = forms.Textarea(attrs={"rows": 5})
MARKUPS = ("labor_markup", "material_markup", "equipment_markup", "subcontract_markup")
TYPED_MARKUPS = (*MARKUPS, "change_markup")

HOURS_TOGETHER: dict[str, Any] = {
    "label": "How far hours run over together, %",
    "most": Decimal(100),
    "places": 2,
    "help_text": "0: each piece of work by itself. 30: usual; what slows one piece slows others. 100: all "
    "or none. A judgement, until 10 jobs with finished work tell.",
}

GROUPS = (
    ("who", "Who you are", ("name", "owner", "license", "address", "phone", "email", "paper_size")),
    ("measure", "How you measure", ("units", "openings", "openings_above_sqft", "cabinets_hide_walls")),
    (
        "rates",
        "Rates and markups",
        (
            "labor_rate",
            *MARKUPS,
            "minimum_charge",
            "contingency_percent",
            "contingency_of",
            "show_contingency",
        ),
    ),
    (
        "days",
        "Your days",
        ("hours_per_day", "run_hours", "days_per_run", "visit_hours", "hours_together_percent"),
    ),
    ("tax", "Sales tax", ("tax_policy", "tax_percent")),
    ("prices", "Prices and estimates", ("stale_after_days", "valid_days", "detail", "code_required_above")),
    ("changes", "Later changes", ("change_markup", "change_fee", "change_minimum", "deduct_keeps_percent")),
    ("invoices", "Invoices", ("tax_permit", "pay_within_days", "how_to_pay", "pay_link", "bank_details")),
    ("words", "Words on every estimate", ("assumptions", "exclusions", "terms", "warranty_months")),
)


class HoursTogetherForm(ModelForm[Firm]):
    """How far hours run over together, beside the range that it makes."""

    hours_together_percent = NumberField(**HOURS_TOGETHER)

    class Meta:
        model = Firm
        fields = ("hours_together_percent",)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)


class FirmForm(ModelForm[Firm]):
    """All settings of the firm, in groups."""

    labor_rate = PriceField(
        label="Labor cost an hour", help_text="What an hour must bring in to break even, before profit."
    )
    labor_markup = MarkupEntryField(label="Markup on labor", help_text="20 is markup; or type 20 margin.")
    material_markup = MarkupEntryField(label="Markup on materials")
    equipment_markup = MarkupEntryField(label="Markup on equipment and rentals")
    subcontract_markup = MarkupEntryField(label="Markup on subcontracts")
    contingency_percent = NumberField(label="Contingency, %", most=Decimal(100), places=2)
    minimum_charge = PriceField(label="Minimum charge for a job")
    tax_percent = NumberField(label="Sales tax, %", most=Decimal(30), places=4)
    hours_per_day = NumberField(
        label="Working hours on site in a day", least=Decimal("0.5"), most=DAY_HOURS, places=2
    )
    run_hours = NumberField(label="Hours of one supply run", most=DAY_HOURS, places=2)
    days_per_run = CountField(label="Working days that one supply run serves", least=1, most=365)
    visit_hours = NumberField(
        label="Hours lost on a return visit",
        most=DAY_HOURS,
        places=2,
        help_text="Driving and setting up again, when something must dry before you go on.",
    )
    hours_together_percent = NumberField(**HOURS_TOGETHER)
    openings_above_sqft = NumberField(
        label="That size, in square feet",
        most=Decimal(1000),
        places=2,
        help_text="Where only openings of at least a size are deducted.",
    )
    change_markup = MarkupEntryField(
        label="On what a change buys",
        help_text="Also applies to allowance overruns. These terms stand on every estimate.",
    )
    change_fee = PriceField(label="Fee for each change that adds work")
    change_minimum = PriceField(label="Minimum charge of a change that adds work")
    deduct_keeps_percent = NumberField(
        label="Kept on deductive changes, %",
        most=Decimal(100),
        places=2,
        help_text="With 0, work that is removed is credited at its full price in the contract.",
    )
    stale_after_days = CountField(label="Prices good for, days", least=1, most=3650)
    valid_days = CountField(label="Days an estimate is valid", least=1, most=365)
    pay_within_days = CountField(
        label="Days until an invoice is due", most=365, help_text="Counted from its date; 0 is at once."
    )
    warranty_months = CountField(
        label="Warranty on your work, months",
        most=240,
        help_text="From the day on which the client signs that the work is done. It stands in the terms of "
        "each estimate that you issue from now on; 0 prints nothing. Your state may ask for a least one.",
    )
    code_required_above = PriceField(
        label="Ask for a mailed code to sign above",
        required=False,
        help_text="Who signs a larger sum on the client's page first types a six-digit code that is mailed "
        "to him. Leave it empty for none.",
    )

    class Meta:
        model = Firm
        fields = tuple(name for _, _, names in GROUPS for name in names)
        widgets = {
            **dict.fromkeys(
                ("units", "paper_size", "openings", "tax_policy", "detail", "contingency_of"),
                forms.RadioSelect,
            ),
            **dict.fromkeys(("assumptions", "exclusions", "terms"), LONG),
            "address": forms.Textarea(attrs={"rows": 3}),
            **dict.fromkeys(("how_to_pay", "bank_details"), forms.Textarea(attrs={"rows": 3})),
            "phone": forms.TextInput(attrs={"type": "tel"}),
            "pay_link": forms.TextInput(
                attrs={"inputmode": "url", "autocapitalize": "off", "spellcheck": "false"}
            ),
        }
        help_texts = {
            "address": "Street first; last city, state in two letters and ZIP. Your invoices go by it.",
            "license": "An invoice needs it, or another number that your firm is registered under.",
            "tax_permit": "Needed to bill sales tax.",
            "how_to_pay": "Such as: check to the firm's name, by mail or handed over.",
            "pay_link": "Where clients pay by card or from their bank, as whoever takes your payments gave "
            "it. {amount} and {number} are filled in, as in https://pay.example.com/you?sum={amount}"
            "&ref={number}. Invoices print it as a code to scan.",
            "bank_details": "Shown to a client alone, on the page of an invoice that he opens by his link: "
            "Bank: First Example. Routing number: ... Account number: ...",
        }
        labels = {
            "name": "Name of the firm",
            "owner": "Your name",
            "tax_policy": "Who pays it, and on what",
            "openings": "Doors and windows, when walls are measured",
            "units": "Units",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)
        for name in TYPED_MARKUPS:
            self.fields[name].widget.attrs |= reading_attrs("markup-reading")

    def clean_pay_link(self) -> str:
        template: str = self.cleaned_data["pay_link"]
        if template and (fault := pay_link_fault(template)):
            raise forms.ValidationError(fault)
        return template

    def groups(self) -> list[tuple[str, str, list[forms.BoundField]]]:
        """Return the groups: the code by which a page links to it, its title and its fields."""
        return [(code, title, [self[name] for name in names]) for code, title, names in GROUPS]


class YearForm(ModelForm[Firm]):
    """A year in four amounts and the hours that clients pay for; `rate` is what an hour of it comes to."""

    own_pay = PriceField(
        label="Your own pay a year", help_text="What you want to take home for your work, before income tax."
    )
    burden = PriceField(
        label="Burden a year",
        help_text="Self-employment tax, health insurance, retirement: what comes on top.",
    )
    overhead = PriceField(
        label="Overhead a year", help_text="Truck, tools, phone, insurance of the business, bookkeeping."
    )
    profit_margin = NumberField(
        label="Profit, % of the price",
        most=Decimal("99.99"),
        places=2,
        help_text="What the firm keeps after you are paid.",
    )
    billable_hours = CountField(
        label="Hours you can bill in a year",
        least=1,
        most=8784,
        help_text="Only hours that a client pays for: no quoting, driving, shopping or paperwork.",
    )

    class Meta:
        model = Firm
        fields = ("own_pay", "burden", "overhead", "profit_margin", "billable_hours")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.rate: HourlyRate | None = None
        self.year: Year | None = None
        set_plain_messages(self.fields)

    def clean(self) -> dict[str, Any]:
        super().clean()
        cleaned = self.cleaned_data
        if any(cleaned.get(name) is None for name in self.fields):
            return cleaned
        try:
            self.year = Year(
                cleaned["own_pay"],
                cleaned["burden"],
                cleaned["overhead"],
                cleaned["profit_margin"],
                Decimal(cleaned["billable_hours"]),
            )
        except UnusableYear as error:
            field = {"profit_percent": "profit_margin"}.get(error.field, error.field)
            self.add_error(field, str(error))
        else:
            self.rate = rate_from_year(self.year)
        return cleaned

    def save_and_use_rate(self) -> Decimal:
        """Save the year with its hour as the firm's cost of labor and its profit as the markup on labor.

        Returns the cost of an hour. The form must be valid.
        """
        assert self.rate is not None
        assert self.year is not None
        firm = self.save(commit=False)
        firm.labor_rate, firm.labor_markup = self.rate.break_even, self.year.profit
        firm.save()
        return self.rate.break_even
