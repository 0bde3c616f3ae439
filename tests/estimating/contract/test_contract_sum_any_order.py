"""Whatever happens to a job's changes, in whatever order: the contract sum is the fold of what is signed."""

from collections.abc import Iterator
from decimal import Decimal

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from estimating.changes.draft import waiting_changes
from estimating.client.cancel import enter_cancellation
from estimating.client.signing import Refused
from estimating.documents.issue import CannotIssue
from estimating.events import states
from estimating.models import Acceptance, ChangeOrder, Document, Job, NotAllowed
from tests.blank_papers import papers_left_blank
from tests.estimating.issuing import AT, DAY
from tests.estimating.signed_kitchen import (
    agreed,
    contract,
    contract_to_date,
    issued_change,
    make_change,
    settle,
    sign_on_paper,
    signed_kitchen,
)
from tests.undone import undone

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]

SIGNED = Decimal("25211.16")
TITLES = ("Set 12x24 porcelain, wall to wall", "Hang drywall, walls A and B", "Cabinets")
events = st.lists(
    st.tuples(
        st.sampled_from(
            [
                "issue",
                "sign",
                "issue",
                "sign",
                "sign",
                "add",
                "take_out",
                "credit",
                "decline",
                "withdraw",
                "cancel",
            ]
        ),
        st.integers(0, 2),
        st.decimals("0.01", "9000", places=2),
    ),
    min_size=10,
    max_size=24,
)


@pytest.fixture
def job(db: None) -> Iterator[Job]:
    """The signed kitchen with three changes begun, once for all stories; its papers are left blank."""
    with papers_left_blank():
        job = signed_kitchen()
        for number in range(3):
            make_change(job, f"Change {number}", days=1)
        yield job


@settings(max_examples=25, suppress_health_check=list(HealthCheck))
@given(story=events, canceled_at=st.none() | st.integers(0, 20))
def test_the_contract_sum_is_the_fold_of_signed_papers_in_any_order_of_events(
    job: Job, story: list[tuple[str, int, Decimal]], canceled_at: int | None
) -> None:
    with undone():
        job = Job.objects.get(pk=job.pk)
        changes = list(ChangeOrder.objects.filter(job=job).order_by("pk"))
        canceled, fallen = False, set()
        for place, (event, which, amount) in enumerate(story):
            if place == canceled_at:
                enter_cancellation(job.documents.get(kind="estimate"), "Wren", DAY, "By mail", "pat", AT)
                canceled = True
            change = changes[which]
            issued = change.issued()
            if event == "add":
                agreed(change, "Fan", "1", "day", f"{amount}")
            elif event == "credit":
                agreed(change, "Goodwill", "1", "", f"-{amount}")
            elif (
                event == "take_out" and not canceled and not change.lines.filter(title=TITLES[which]).exists()
            ):
                settle(change, "taken_out", TITLES[which])
            try:
                if event == "issue":
                    issued_change(change)
                elif event == "sign" and issued:
                    sign_on_paper(issued)
                elif event == "cancel" and issued:
                    enter_cancellation(issued, "Wren", DAY, "By mail", "pat", AT)
                    fallen.add(issued.pk)
                elif event in ("decline", "withdraw") and issued:
                    kind = states.DECLINED if event == "decline" else states.WITHDRAWN
                    with transaction.atomic():
                        issued.record(kind, AT, {"reason": "dear"})
            except (CannotIssue, NotAllowed, Refused):
                pass
            if canceled:
                assert contract_to_date(job).total == 0
                assert waiting_changes(job) == []
                continue
            signed = Document.objects.filter(job=job, kind="change_order", acceptance__isnull=False)
            assert set(signed.filter(events__kind=states.CANCELED).values_list("pk", flat=True)) == fallen
            signed = signed.exclude(pk__in=fallen)
            now = contract(job)
            assert now.contract.total == SIGNED + sum(document.total.amount for document in signed)
            assert now.contract.total >= 0 or fallen
            assert {document.state() for document in signed} <= {states.ACCEPTED}
            assert all(line.left >= 0 for line in now.lines)
            assert not {change.pk for change in waiting_changes(job)} & {document.pk for document in signed}
        assert Acceptance.objects.filter(document__job=job, document__kind="estimate").count() == 1
