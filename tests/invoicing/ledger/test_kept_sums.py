"""Kept sums: what they are worked out from, when they are written, and how a wrong one is found."""

from datetime import date
from decimal import Decimal

import pytest
from django.core.management import call_command
from django.db import transaction
from django.test import Client as Browser
from django.urls import reverse

from estimating.verification.documents import faults
from invoicing.bookkeeping.csv_files import Span, firm_tax
from invoicing.ledger.kept_sums import billed_before_tax, cents, firm_sums, keep_what_is_missing, tax_months
from invoicing.models import KeptAccount, KeptBill, KeptMonth
from tests.factories import make_client, make_job
from tests.invoicing.money_rows import TODAY, add_bill, pay

MARCH, APRIL = date(2026, 3, 10), date(2026, 4, 9)


def test_only_whole_cents_are_kept() -> None:
    assert cents(Decimal("12.34")) == 1234
    with pytest.raises(ValueError, match=r"12\.345"):
        cents(Decimal("12.345"))


@pytest.mark.django_db
def test_a_payment_writes_the_sums_of_its_account_and_takes_them_back_where_it_fails() -> None:
    invoice = add_bill(make_job(), "100.00", tax="8.25")
    with transaction.atomic():
        pay(invoice.job, "60.00", invoice)
        assert KeptAccount.objects.get().open == 4825
        transaction.set_rollback(True)
    assert not KeptAccount.objects.exists()


@pytest.mark.django_db
def test_what_an_older_release_wrote_is_kept_before_sums_are_read() -> None:
    invoice = add_bill(make_job(), "100.00")
    pay(invoice.job, "40.00", invoice)
    for table in (KeptAccount, KeptBill, KeptMonth):
        table.objects.all().delete()
    assert firm_sums()["open"] == Decimal("60.00")
    assert billed_before_tax(TODAY, TODAY) == Decimal("100.00")


@pytest.mark.django_db
def test_tax_of_all_clients_is_summed_by_month_in_the_database() -> None:
    for name in ("Ana", "Ben"):
        invoice = add_bill(make_job(client=make_client(name=name)), "100.00", tax="8.25", on=MARCH)
        pay(invoice.job, "54.13", invoice, on=APRIL)
    march, april = tax_months(MARCH.replace(day=1), APRIL)
    assert (march.billed, march.tax, march.tax_paid) == tuple(map(Decimal, ("200.00", "16.50", "0.00")))
    assert (april.billed, april.tax_paid) == (0, Decimal("8.26"))
    first, second = firm_tax(Span(MARCH, APRIL))
    assert (first.tax, second.tax_paid) == (Decimal("16.50"), Decimal("8.26"))


@pytest.mark.django_db
@pytest.mark.parametrize("table", [KeptAccount, KeptBill, KeptMonth])
def test_a_wrong_sum_is_named_and_made_anew(table: type[KeptAccount | KeptBill | KeptMonth]) -> None:
    invoice = add_bill(make_job(client=make_client(name="Ana")), "100.00")
    pay(invoice.job, "40.00", invoice)
    said = "The kept sums of Ana aren't"
    assert not any(fault.startswith(said) for fault in faults())
    table.objects.update(**{"month" if table is KeptMonth else "paid": MARCH if table is KeptMonth else 1})
    assert any(fault.startswith(said) for fault in faults())
    call_command("keep_sums")
    assert not any(fault.startswith(said) for fault in faults())


@pytest.mark.django_db
def test_a_job_that_becomes_another_clients_takes_its_bills_along(signed_in: Browser) -> None:
    job, other = make_job(), make_client(name="Ben")
    add_bill(job, "100.00")
    keep_what_is_missing()
    typed = {"client": other.pk, "name": job.name, "address": "12 Elm Street", "requested_on": "2026-11-01"}
    typed |= {"tax_policy": "none", "tax_percent": "0"}
    assert signed_in.post(reverse("job-edit", args=[job.pk]), typed).status_code == 302
    assert KeptAccount.objects.get().client == other
