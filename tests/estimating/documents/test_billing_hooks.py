"""What documents say where no app bills, and whom they ask where one does."""

from collections.abc import Iterator

import pytest

from estimating.documents import billing_hooks
from estimating.documents.billing_hooks import NoBilling, billing
from estimating.documents.pdf import make_pdf
from estimating.models import Document
from estimating.progress.read import billing_steps
from estimating.verification.documents import faults
from invoicing.billing_hooks import InvoicingHooks
from tests.estimating.issuing import DAY, issue_now, painted_floor, unissued
from tests.estimating.signed_kitchen import sign_on_paper
from tests.pdf_text import text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def nobody_bills() -> Iterator[None]:
    registered = billing()
    billing_hooks.register(NoBilling())
    yield
    billing_hooks.register(registered)


def test_the_app_above_registers_its_answers() -> None:
    assert isinstance(billing(), InvoicingHooks)


def test_an_estimate_is_issued_and_signed_where_nobody_bills(nobody_bills: None) -> None:
    document = issue_now(painted_floor())
    sign_on_paper(document)
    assert "payments" not in document.read_snapshot()
    assert billing().document_page(document, DAY) == {}
    assert billing_steps([(document.job, ["issued", "accepted"])], DAY) == {}
    assert list(faults()) == []


def test_the_pdf_of_an_estimate_has_no_file_inside() -> None:
    snapshot = unissued(painted_floor()).snapshot
    assert billing().attachment(snapshot) is None
    assert text_of(make_pdf(snapshot))


def test_documents_that_bills_know_nothing_of_get_nothing_from_them() -> None:
    document = issue_now(painted_floor())
    assert Document.Kind(document.kind) is Document.Kind.ESTIMATE
    assert billing().document_page(document, DAY) == {}
    assert list(billing().document_faults(document, document.read_snapshot())) == []
