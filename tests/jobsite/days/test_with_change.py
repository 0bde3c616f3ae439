"""What a change does to the end of its job, before it is sent."""

from datetime import date
from decimal import Decimal

import pytest
from django.test import Client

from estimating.models import Document, WorkItem
from jobsite.days.with_change import FinishWithChange, finish_with_change
from tests.estimating.issuing import issue_now, painted_floor
from tests.estimating.signed_kitchen import make_change, sign_on_paper

pytestmark = pytest.mark.django_db


@pytest.fixture
def document() -> Document:
    document = issue_now(painted_floor())
    sign_on_paper(document)
    return document


def test_work_that_a_change_adds_moves_the_end(signed_in: Client, document: Document) -> None:
    change = make_change(document.job, "Rotten subfloor")
    today = date(2027, 1, 11)  # a Monday
    alone = finish_with_change(change, today)
    assert (alone.before, alone.after, alone.moves) == (today, today, False)
    WorkItem.objects.create(
        estimate=change.estimate, title="Sister a joist", phase="rough", extra_hours=Decimal(8)
    )
    longer = finish_with_change(change, today)
    assert (longer.before, longer.after) == (today, date(2027, 1, 12))
    early = finish_with_change(change, date(2026, 11, 25))  # the client can cancel until Saturday 28
    assert early == FinishWithChange(date(2026, 11, 30), date(2026, 12, 1))
    assert "with this change instead of" in signed_in.get(change.get_absolute_url()).content.decode()
