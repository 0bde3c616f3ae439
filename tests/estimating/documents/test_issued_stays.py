"""Whatever is changed later in rooms, work, prices, names or rates, an issued paper stays as it was."""

from collections.abc import Callable

import pytest
from django.test import Client as Browser
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from catalog.measures.lengths import parse_length
from catalog.models import Assembly, Component, Firm, Material, Operation, Package
from estimating.models import (
    ChangeLine,
    ChangeOrder,
    Client,
    Document,
    Estimate,
    Job,
    Room,
    WorkItem,
    WorkRoom,
)
from estimating.verification.documents import faults
from tests.estimating.issuing import issue_now, painted_floor
from tests.estimating.signed_kitchen import agreed, issued_change, make_change, sign_on_paper
from tests.factories import make_assembly, put_on

pytestmark = pytest.mark.django_db

Edit = Callable[[str, int], object]


def measure_the_room_again(word: str, number: int) -> None:
    side = parse_length(f"{number} ft")
    Room.objects.update(legs=[[side, "90"]] * 4, name=word)


def add_work(word: str, number: int) -> None:
    estimate = Estimate.objects.get(change=None)
    put_on(estimate, make_assembly(), estimate.job.rooms.get(), title=word, extra_hours=number)


def drop_the_work(word: str, number: int) -> None:
    WorkRoom.objects.all().delete()
    WorkItem.objects.all().delete()


def issue_a_revision(word: str, number: int) -> None:
    estimate = Estimate.objects.get()
    if estimate.items.exists():
        issue_now(estimate)


EDITS: dict[str, Edit] = {
    "room": measure_the_room_again,
    "package": lambda word, number: Package.objects.update(price=number, name=word),
    "material": lambda word, number: Material.objects.update(name=word),
    "speed": lambda word, number: Operation.objects.update(hours_per_unit=number),
    "assembly": lambda word, number: Assembly.objects.update(scope=word),
    "waste": lambda word, number: Component.objects.update(times=number),
    "rate": lambda word, number: Estimate.objects.update(labor_rate=number, terms=word),
    "validity": lambda word, number: Estimate.objects.update(valid_days=number, detail="total"),
    "firm": lambda word, number: Firm.objects.update(name=word, units="metric", paper_size="a4"),
    "client": lambda word, number: Client.objects.update(name=word, address=word),
    "job": lambda word, number: Job.objects.update(name=word, tax_policy="everything", tax_percent=5),
    "more work": add_work,
    "no work": drop_the_work,
    "place": lambda word, number: Job.objects.update(signing_place="ours", state="CA"),
    "change": lambda word, number: ChangeOrder.objects.update(title=word, days=number),
    "line": lambda word, number: ChangeLine.objects.update(title=word, amount=number),
    "revision": issue_a_revision,
}
edits = st.lists(
    st.tuples(
        st.sampled_from(sorted(EDITS)),
        st.text(st.characters(codec="ascii", categories=("L", "N", "P")), min_size=1, max_size=20),
        st.integers(1, 40),
    ),
    min_size=1,
    max_size=6,
)


def kept() -> dict[int, dict[str, object]]:
    rows = Document.objects.defer(None).order_by("pk").values()
    return {row["id"]: {**row, "pdf": bytes(row["pdf"])} for row in rows}


@settings(max_examples=40, suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture])
@given(later=edits)
def test_an_issued_estimate_outlives_a_year_of_edits(
    signed_in: Browser, later: list[tuple[str, str, int]]
) -> None:
    if not Document.objects.exists():
        issue_now(painted_floor())
    before = kept()
    for name, word, number in later:
        EDITS[name](word, number)
    after = kept()
    assert {pk: after[pk] for pk in before} == before
    first = min(before)
    assert signed_in.get(reverse("document-pdf", args=[first])).content == before[first]["pdf"]
    assert list(faults()) == []


@settings(max_examples=15, suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture])
@given(later=edits.map(lambda chosen: [edit for edit in chosen if edit[0] != "revision"]))
def test_a_signed_estimate_and_its_change_order_outlive_a_year_of_edits(
    db: None, later: list[tuple[str, str, int]]
) -> None:
    if not Document.objects.exists():
        document = issue_now(painted_floor())
        sign_on_paper(document)
        change = make_change(document.job, days=2)
        agreed(change, "One drying fan", "2", "days", "30.00")
        issued_change(change)
    before = kept()
    for name, word, number in later:
        EDITS[name](word, number)
    assert kept() == before
    assert [document.pdf_is_whole() for document in Document.objects.all()] == [True, True]
    assert list(faults()) == []
