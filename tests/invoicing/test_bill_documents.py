"""Invoices and credit notes as they are issued, from a signed job and its plan."""


import pytest

from estimating.verification import faults
from invoicing.models import BillDraft
from tests.invoicing.bills import billed, signed_floor

pytestmark = pytest.mark.django_db(transaction=True)


def test_a_reached_milestone_is_billed_at_its_share() -> None:
    job = signed_floor()
    invoice = billed(job, "Begun")
    shown = invoice.read_snapshot()
    assert (invoice.kind, invoice.number, str(invoice.total)) == ("invoice", 1001, "$59.04")  # 30 % of 196.80
    assert [line["amount"] for line in shown["lines"]] == ["59.04"]
    assert shown["contract"] == {
        "label": "Estimate 1001",
        "sum": "196.80",
        "before": "0.00",
        "this": "59.04",
        "left": "137.76",
        "held": "0.00",
    }
    assert not BillDraft.objects.exists()
    assert list(faults()) == []
