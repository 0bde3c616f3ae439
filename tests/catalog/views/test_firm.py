"""The firm's settings and the hour worked out from a year."""

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from catalog.forms.firm import FirmForm
from catalog.models import Firm
from catalog.money.markup import Markup
from tests.factories import make_firm
from tests.responses import PageResponse

YEAR = {
    "own_pay": "52,000",
    "burden": "9,000",
    "overhead": "17,000",
    "profit_margin": "10",
    "billable_hours": "1300",
}


def settings_of(firm: Firm) -> dict[str, str]:
    """What the page of settings sends when nothing on it is touched."""
    form = FirmForm(instance=firm)
    shown = {
        name: field.prepare_value(form.get_initial_for_field(field, name))
        for name, field in form.fields.items()
    }
    return {name: str(value) for name, value in shown.items() if value is not None and value is not False}


def save(client: Client, **typed: str) -> PageResponse:
    return client.post(reverse("firm"), settings_of(Firm.current()) | typed)


def test_settings_saved_untouched_stay_as_they_are(signed_in: Client) -> None:
    make_firm(labor_markup=Markup(Decimal("12.5"), "margin"), tax_percent=Decimal("6.125"))
    before = Firm.objects.values().get()
    assert save(signed_in).status_code == 302
    assert Firm.objects.values().get() == before


def test_a_margin_is_kept_as_it_was_typed(signed_in: Client) -> None:
    save(signed_in, material_markup="25 % margin", labor_markup="30")
    firm = Firm.current()
    assert (str(firm.material_markup), str(firm.labor_markup)) == ("25 margin", "30 markup")


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("labor_markup", "-100", "gives the work away"),
        ("material_markup", "100 margin", "stays below 100%"),
        ("labor_rate", "-5", "can't be negative"),
        ("labor_rate", "70.125", "more than two decimals"),
        ("contingency_percent", "101", "out of range"),
        ("hours_per_day", "0", "out of range"),
        ("name", "", "Fill this in."),
        ("name", "N" * 10_000, "Keep it to 120 characters"),
        ("email", "pat at home", "email"),
        ("tax_policy", "bribe", "Choose one of those offered."),
        ("days_per_run", "0", "out of range"),
    ],
)
def test_a_wrong_setting_is_answered_at_its_field_and_nothing_is_saved(
    signed_in: Client, field: str, typed: str, sentence: str
) -> None:
    make_firm()
    before = Firm.objects.values().get()
    answer = save(signed_in, **{field: typed, "owner": "Pat Tolliver"})
    assert answer.status_code == 422
    assert sentence in answer.context["form"].errors[field][0]
    assert "Pat Tolliver" in answer.content.decode()
    assert Firm.objects.values().get() == before


def test_the_margin_that_a_markup_equals_stands_under_it(signed_in: Client) -> None:
    answer = signed_in.get(reverse("markup-reading"), {"material_markup": "25"})
    assert answer.content == b"25% markup = 20% margin"


def test_every_setting_is_on_the_page_once() -> None:
    form = FirmForm()
    shown = [field.name for _, _, fields in form.groups() for field in fields]
    assert sorted(shown) == sorted(form.fields)
    year = {"own_pay", "burden", "overhead", "profit_margin", "billable_hours"}
    columns = {field.name for field in Firm._meta.get_fields() if not field.name.endswith("_currency")}
    assert columns - set(shown) == year | {"id", "logo", "color"}  # which have a page of their own


def figures(client: Client, **typed: str) -> str:
    return client.post(reverse("hourly-rate-figures"), YEAR | typed).content.decode()


def test_an_hour_is_worked_out_while_the_year_is_typed_and_nothing_is_saved(signed_in: Client) -> None:
    page = figures(signed_in)
    # 78,000 over 1,300 hours is 60.00; over 0.9 it is 66.67.
    assert "$60.00" in page
    assert "$66.67" in page
    assert Firm.current().own_pay.amount == 0


def test_profit_as_the_only_pay_is_warned_of(signed_in: Client) -> None:
    assert "Profit is your only pay" in figures(signed_in, own_pay="0")


def test_a_year_that_cannot_be_worked_out_says_why(signed_in: Client) -> None:
    page = figures(signed_in, billable_hours="0")
    assert "Hours you can bill in a year" in page
    assert "out of range" in page


def test_using_the_rate_prices_labor_at_break_even_with_profit_as_margin(signed_in: Client) -> None:
    signed_in.post(reverse("hourly-rate"), YEAR | {"use": "1"})
    firm = Firm.current()
    assert firm.labor_rate.amount == Decimal("60.00")
    assert firm.labor_markup == Markup(Decimal(10), "margin")
    assert firm.own_pay.amount == Decimal(52_000)


def test_saving_the_year_alone_leaves_the_rate_as_it_is(signed_in: Client) -> None:
    make_firm(labor_rate=Decimal("70.00"))
    signed_in.post(reverse("hourly-rate"), YEAR)
    firm = Firm.current()
    assert (firm.labor_rate.amount, firm.billable_hours) == (Decimal("70.00"), 1300)
    assert "$66.67" in signed_in.get(reverse("hourly-rate")).content.decode()


@pytest.mark.parametrize(
    ("field", "typed"), [("profit_margin", "100"), ("own_pay", "-1"), ("billable_hours", ""), ("burden", "x")]
)
def test_a_wrong_year_is_sent_back_with_what_was_typed(signed_in: Client, field: str, typed: str) -> None:
    answer = signed_in.post(reverse("hourly-rate"), YEAR | {field: typed, "use": "1"})
    assert answer.status_code == 422
    assert answer.context["form"].errors[field]
    kept = "17,000"
    assert f'value="{kept}"' in answer.content.decode()
    assert Firm.current().labor_rate.amount == 0
