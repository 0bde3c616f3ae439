"""What must be done before a piece of work: named on its page, with the reason."""

import pytest
from django.test import Client
from django.urls import reverse

from catalog.models import Assembly, Precedence
from catalog.rows.copies import copy_of
from tests.factories import make_assembly
from tests.responses import PageResponse


@pytest.fixture
def prime(db: None) -> Assembly:
    return make_assembly("prime walls", "wall_net")


@pytest.fixture
def paint(db: None) -> Assembly:
    return make_assembly("paint walls", "wall_net")


def name(client: Client, work: Assembly, earlier: Assembly, reason: str = "") -> PageResponse:
    typed = {"before-earlier": str(earlier.pk), "before-reason": reason}
    return client.post(reverse("assembly", args=[work.pk]), typed)


def refused(answer: PageResponse) -> str:
    assert answer.status_code == 422
    assert "error-summary" in answer.content.decode()
    sentence: str = answer.context["also"].errors["earlier"][0]
    return sentence


def test_what_is_done_before_is_named_with_its_reason_and_shown(
    signed_in: Client, prime: Assembly, paint: Assembly
) -> None:
    name(signed_in, paint, prime, "Bare board takes paint unevenly.")
    row = Precedence.objects.get()
    assert (row.assembly, row.earlier, row.reason) == (paint, prime, "Bare board takes paint unevenly.")
    page = signed_in.get(reverse("assembly", args=[paint.pk])).content.decode()
    assert "Bare board takes paint unevenly." in page


def test_it_is_taken_out_again(signed_in: Client, prime: Assembly, paint: Assembly) -> None:
    name(signed_in, paint, prime)
    signed_in.post(reverse("precedence-remove", args=[Precedence.objects.get().pk]))
    assert not Precedence.objects.exists()


def test_the_same_is_named_once(signed_in: Client, prime: Assembly, paint: Assembly) -> None:
    name(signed_in, paint, prime)
    assert refused(name(signed_in, paint, prime)) == "Choose one of those offered."


def test_nothing_waits_for_itself(signed_in: Client, paint: Assembly) -> None:
    assert refused(name(signed_in, paint, paint)) == "Choose one of those offered."


def test_nothing_waits_for_itself_by_way_of_others(
    signed_in: Client, prime: Assembly, paint: Assembly
) -> None:
    hang = make_assembly("hang board")
    name(signed_in, paint, prime)
    name(signed_in, prime, hang)
    said = refused(name(signed_in, hang, paint))
    assert "hang board after paint walls after prime walls after hang board" in said
    assert Precedence.objects.count() == 2


def test_naming_it_changes_no_companion(signed_in: Client, prime: Assembly, paint: Assembly) -> None:
    name(signed_in, paint, prime)
    assert not paint.goes_with.exists()


def test_a_copy_waits_for_the_same_and_is_the_firms_own(prime: Assembly, paint: Assembly) -> None:
    Precedence.objects.create(assembly=paint, earlier=prime, reason="so that it covers")
    paint.shipped = {"name": "paint walls"}
    paint.save()
    twin = copy_of(paint)
    assert [(precedence.earlier, precedence.reason) for precedence in twin.waits_for.all()] == [
        (prime, "so that it covers")
    ]
    assert twin.shipped is None
    assert paint.waits_for.count() == 1
