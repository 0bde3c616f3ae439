"""Totals by EN 16931 against its official examples, and faults said before anything is written."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from invoicing.billing.credit_note import draft_credit
from invoicing.billing.draft import draft_bill
from invoicing.einvoice.cii import write_cii
from invoicing.einvoice.faults import UnfitInvoice, faults
from invoicing.einvoice.model import (
    OUTSIDE,
    ZERO,
    Address,
    Adjustment,
    CorrectedInvoice,
    EInvoice,
    InvoiceLine,
    PaymentMeans,
    Tax,
    TaxCategory,
    TaxGroup,
    invoice_totals,
    taxed_lines,
)
from invoicing.milestones.plan import MilestoneTerm, SignedChange, draw_plan
from tests.invoicing.einvoices import ADJUSTED, ALL, CREDIT_NOTE, FIRM, TAXED, example, invoice, line
from tests.invoicing.kitchen import place_alone

# The official examples, repository ConnectingEurope/eInvoicing-EN16931 (European Union Public License):
# net amounts of lines by category and rate, document charges and allowances, paid; then BT-106, BT-109,
# BT-110, BT-112 and BT-115 as printed.
EXAMPLES = {
    "ubl-tc434-example1.xml": (
        {
            "S6": "19.90 9.85 8.29 14.46 35.00 35.00 10.65 1.55 14.37 8.29 "
            "16.58 9.95 3.30 3.90 102.12 -109.98",
            "S21": "10.80 7.60 9.34 18.63",
        },
        "",
        "0",
        "229.60 229.60 20.73 250.33 250.33",
    ),
    "ubl-tc434-example2.xml": (
        {"S25": "1273.00 187.50", "S15": "-3.96 4.96", "E": "-25.00"},
        "-100.00 100.00",
        "1000.00",
        "1436.50 1436.50 365.28 1801.78 801.78",
    ),
    "ubl-tc434-example3.xml": (
        {"S25": "800.00", "S10": "800.00"},
        "100.00",
        "0",
        "1600.00 1700.00 305.00 2005.00 2005.00",
    ),
    "ubl-tc434-example5.xml": (
        {"S25": "1000.00 500.00", "S12": "2500.00"},
        "-150.00 150.00",
        "2337.50",
        "4000.00 4000.00 675.00 4675.00 2337.50",
    ),
    "ubl-tc434-example9.xml": ({"S21": "147.00"}, "", "0", "147.00 147.00 30.87 177.87 177.87"),
    "ubl-tc434-creditnote1.xml": ({"E": "100.11"}, "", "0", "100.11 100.11 0.00 100.11 100.11"),
}


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_official_examples_totals(name: str) -> None:
    groups, adjustments, paid, printed = EXAMPLES[name]
    sums = invoice_totals(example(groups, adjustments, paid))
    amounts = (sums.lines, sums.before_tax, sums.tax, sums.with_tax, sums.due)
    assert amounts == tuple(map(Decimal, printed.split()))


def test_tax_of_each_rate_is_rounded_half_up() -> None:
    """Example 2: 25 % of 1,460.50 is 365.125, printed as 365.13; half to even would give 365.12."""
    sums = invoice_totals(
        example({"S25": "1273.00 187.50", "S15": "-3.96 4.96", "E": "-25.00"}, "-100.00 100.00")
    )
    assert [(str(group.base), str(group.amount)) for group in sums.groups] == [
        ("1460.50", "365.13"),
        ("1.00", "0.15"),
        ("-25.00", "0.00"),
    ]


def test_each_line_is_rounded_before_lines_are_summed() -> None:
    """A case under BR-CO-10: three lines of 33.335 are 100.02, not 100.01."""
    assert invoice_totals(invoice(*[InvoiceLine("Third", Decimal("33.335"), TAXED)] * 3)).lines == Decimal(
        "100.02"
    )


def test_allowances_and_charges_move_the_base_of_their_rate() -> None:
    sums = invoice_totals(ADJUSTED)
    assert (sums.allowances, sums.charges, sums.before_tax) == tuple(
        map(Decimal, ("50.00", "25.50", "975.51"))
    )
    assert sums.tax == Decimal("80.48")


amounts = st.integers(-500_000, 500_000).map(lambda cents: Decimal(cents) / 100)


@given(st.lists(st.tuples(amounts, st.sampled_from(["0.01", "6", "7.25", "8.875", "25"])), min_size=1))
def test_totals_of_any_lines_keep_the_rules(rows: list[tuple[Decimal, str]]) -> None:
    lines = [line(str(amount), Tax(TaxCategory.STANDARD, Decimal(rate))) for amount, rate in rows]
    sums = invoice_totals(invoice(*lines, paid=Decimal("1.00")))
    assert sums.lines == sum(amount for amount, _ in rows)
    assert sum(group.base for group in sums.groups) == sums.before_tax
    assert sums.with_tax == sums.before_tax + sums.tax
    assert sums.due == sums.with_tax - 1
    for group in sums.groups:
        exact = Fraction(group.base) * Fraction(group.tax.percent) / 100
        assert abs(Fraction(group.amount) - exact) <= Fraction(1, 200)


@pytest.mark.parametrize("name", ALL)
def test_the_demo_firm_s_invoices_have_no_fault(name: str) -> None:
    assert faults(ALL[name]) == []


FAULTY: list[tuple[EInvoice, str]] = [
    (replace(invoice(), number=" "), "needs a number"),
    (replace(invoice(), seller=replace(FIRM, name="")), "firm needs a name"),
    (replace(invoice(), seller=replace(FIRM, legal_id="")), "license, registration or company number"),
    (replace(invoice(), seller=replace(FIRM, tax_id="")), "sales tax permit"),
    (replace(invoice(), buyer=replace(FIRM, address=Address(country="USA"))), "country of two letters"),
    (invoice(site=Address(country="")), "site's address"),
    (invoice(currency="$"), "three letters"),
    (replace(invoice(), lines=()), "at least one line"),
    (invoice(due=None), "due date or terms"),
    (invoice(is_credit=True), "names the invoice"),
    (invoice(line("-5.00")), "less than nothing"),
    (invoice(replace(line("5.00"), name="")), "Line 1 needs a name"),
    (invoice(replace(line("5.00"), price=Decimal(-5))), "can't be below zero"),
    (invoice(replace(line("5.00"), unit="")), "unit code"),
    (invoice(line("5.00"), line("5.00", OUTSIDE)), "can't stand beside"),
    (invoice(line("5.00", Tax(TaxCategory.STANDARD))), "above 0"),
    (invoice(line("5.00", Tax(TaxCategory.ZERO, Decimal(5)))), "has no rate"),
    (invoice(line("5.00", Tax(TaxCategory.EXEMPT))), "needs the reason"),
    (invoice(paid=Decimal("0.005")), "whole cents"),
    (invoice(adjustments=(Adjustment(Decimal(5), "", TAXED),)), "has a reason"),
    (invoice(pay_by=PaymentMeans("30")), "needs the account"),
    (invoice(note="Bell \x07"), "no document can show"),
    (replace(CREDIT_NOTE, corrects=CorrectedInvoice("", date(2026, 3, 12))), "needs its number"),
    (
        invoice(*(line("5.00", Tax(TaxCategory.EXEMPT, reason=reason)) for reason in ("School", "Church"))),
        "two reasons",
    ),
]


@pytest.mark.parametrize(("faulty", "sentence"), FAULTY, ids=[sentence for _, sentence in FAULTY])
def test_a_fault_is_said_in_a_sentence_and_nothing_is_written(faulty: EInvoice, sentence: str) -> None:
    assert any(sentence in fault for fault in faults(faulty))
    with pytest.raises(UnfitInvoice, match=sentence):
        write_cii(faulty)


def test_a_bill_taxed_in_part_has_two_lines_of_one_amount() -> None:
    plan = draw_plan(Decimal("1000.00"), [MilestoneTerm("A", "All", "Done")], taxable=Decimal("400.00"))
    lines = taxed_lines(draft_bill(plan, (), ["A"]).lines, Decimal("8.25"))
    assert [(line.name, str(line.amount), line.tax.category.value) for line in lines] == [
        ("All, taxed part", "400.00", "S"),
        ("All, part not taxed", "600.00", "Z"),
    ]


def test_a_bill_without_tax_is_outside_its_scope() -> None:
    plan = draw_plan(Decimal("1000.00"), [MilestoneTerm("A", "All", "Done")], retainage=Fraction(1, 10))
    bill = draft_bill(plan, (), ["A"], keep_held=True)
    lines = taxed_lines(bill.lines, Decimal(0))
    assert [(str(line.amount), line.tax) for line in lines] == [("1000.00", OUTSIDE), ("-100.00", OUTSIDE)]


def test_a_credit_note_s_lines_are_above_zero() -> None:
    plan = draw_plan(
        Decimal("1000.00"), [MilestoneTerm("A", "All", "Done")], Decimal("1000.00"), Fraction(1, 10)
    )
    bill = draft_bill(plan, (), ["A"]).lines
    credit = taxed_lines(draft_credit(plan, bill, bill).lines, Decimal("8.25"), is_credit=True)
    assert invoice_totals(invoice(*credit)) == invoice_totals(invoice(*taxed_lines(bill, Decimal("8.25"))))


def test_credit_notes_of_one_invoice_give_back_its_tax_and_not_a_cent_more() -> None:
    first = invoice_totals(invoice(line("5.05")))
    rest = invoice_totals(invoice(line("9.40"), credited_before=first.groups))
    # 8.25 % of 5.05 is 0.4166 and of 9.40 is 0.7755, yet of both it is 1.1921
    assert (first.tax, rest.tax, invoice_totals(invoice(line("14.45"))).tax) == tuple(
        map(Decimal, ("0.42", "0.77", "1.19"))
    )


def test_a_deduction_is_a_line_with_a_quantity_below_zero() -> None:
    plan = draw_plan(Decimal("1000.00"), [MilestoneTerm("A", "All", "Done")])
    plan = place_alone(plan, SignedChange("CO", "Trims left out", Decimal("-161.03")), "Trims", "Seen")
    (_, trims) = taxed_lines(draft_bill(plan, (), ["A", "CO"]).lines, Decimal(0))
    assert (trims.price, trims.quantity) == (Decimal("161.03"), Decimal(-1))


def test_what_settles_the_tax_is_added_to_the_taxed_group_alone() -> None:
    """8.25 % of 100.00 is 8.25; the bills before were a cent short."""
    sums = invoice_totals(invoice(line("100.00"), line("50.00", ZERO), tax_correction=Decimal("0.01")))
    assert [(group.tax, group.amount) for group in sums.groups] == [
        (TAXED, Decimal("8.26")),
        (ZERO, Decimal("0.00")),
    ]
    assert (sums.tax, sums.with_tax) == (Decimal("8.26"), Decimal("158.26"))


def test_what_is_due_is_rounded_by_what_the_document_says() -> None:
    sums = invoice_totals(invoice(line("100.00", OUTSIDE), paid=Decimal("20.00"), rounding=Decimal("0.30")))
    assert (sums.paid, sums.rounding, sums.due) == (Decimal("20.00"), Decimal("0.30"), Decimal("80.30"))


def test_a_rate_without_anything_taxed_is_outside_the_tax() -> None:
    plan = draw_plan(Decimal("1000.00"), [MilestoneTerm("A", "All", "Done")])
    (line,) = taxed_lines(draft_bill(plan, (), ["A"]).lines, Decimal("8.25"))
    assert (line.name, line.tax) == ("All", OUTSIDE)


def test_a_line_that_is_taxed_whole_stays_one_and_cents_are_asked_for() -> None:
    plan = draw_plan(Decimal("0.50"), [MilestoneTerm("A", "All", "Done")], taxable=Decimal("0.50"))
    (line,) = taxed_lines(draft_bill(plan, (), ["A"]).lines, Decimal("8.25"))
    assert (line.name, line.amount, line.quantity) == ("All", Decimal("0.50"), Decimal(1))


def test_what_was_credited_before_counts_for_its_own_rate_alone() -> None:
    before = (
        TaxGroup(ZERO, Decimal("100.00"), Decimal(0)),
        TaxGroup(TAXED, Decimal("5.05"), Decimal("0.42")),
    )
    rest = invoice_totals(invoice(line("9.40"), line("1.00", ZERO), credited_before=before))
    assert [str(group.amount) for group in rest.groups] == ["0.77", "0.00"]


@pytest.mark.parametrize(
    "fit",
    [
        invoice(line("0.00"), line("5.00")),
        invoice(adjustments=(Adjustment(Decimal("0.00"), "Nothing", TAXED),)),
        invoice(adjustments=(Adjustment(Decimal("0.50"), "Rounded", TAXED),)),
        invoice(line("5.00", Tax(TaxCategory.STANDARD, Decimal(100)))),
        invoice(line("5.00", Tax(TaxCategory.STANDARD, Decimal("0.5")))),
        invoice(line("5.00"), line("-5.00"), due=None),
        invoice(line("5.00"), due=None, terms="At once."),
    ],
)
def test_what_is_at_its_bound_has_no_fault(fit: EInvoice) -> None:
    assert faults(fit) == []


@pytest.mark.parametrize(
    ("unfit", "sentence"),
    [
        (invoice(line("0.50", OUTSIDE), due=None), "due date or terms"),
        (invoice(replace(line("5.00"), price=Decimal("-0.01"))), "can't be below zero"),
        (invoice(adjustments=(Adjustment(Decimal("-0.01"), "Less", TAXED),)), "zero or more"),
        (invoice(line("5.00", Tax(TaxCategory.STANDARD, Decimal("100.01")))), "at most 100 %"),
        (invoice(line("-0.01")), "less than nothing"),
    ],
)
def test_what_is_past_its_bound_has_a_fault(unfit: EInvoice, sentence: str) -> None:
    assert any(sentence in fault for fault in faults(unfit))
