"""After its last day nothing is signed until the firm looked prices up again and said so."""

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from catalog.models import Package
from estimating.client.extension import CannotExtend, current_prices, extend
from estimating.client.price_comparison import compare_prices, package_keys
from estimating.client.signing import Refused, why_closed
from estimating.documents import write_protection
from estimating.documents.history import history
from estimating.events import states
from estimating.events.states import event_in_words, last_day
from estimating.models import Acceptance, Document
from estimating.verification.documents import faults
from tests.estimating.client_visits import floor_with_options, link_of_one_paper, sign, visit
from tests.estimating.issuing import AT, DAY, issue_now, painted_floor
from tests.estimating.signed_kitchen import sign_on_paper
from tests.factories import make_firm

pytestmark = pytest.mark.django_db
LATE = DAY + timedelta(days=60)
LONGER = DAY + timedelta(days=90)


@pytest.fixture
def document() -> Document:
    """A painted floor with 2 gal at $40.00, $196.80; valid for a month from DAY."""
    return issue_now(painted_floor())


@pytest.fixture
def late(db: None) -> Document:
    """The same, past its last day today."""
    estimate = floor_with_options()
    estimate.dated -= timedelta(days=60)
    estimate.save()
    return issue_now(estimate)


def link_to(document: Document) -> tuple[Client, str]:
    return visit(link_of_one_paper(document))


def kept(price: str, count: int = 2, **more: Any) -> dict[str, object]:
    package = {"key": "7", "size": "1", "price": price, "count": count}
    material = {"name": "Paint", "unit": "gal", "kind": "material", "taxable": True, "packages": [package]}
    return {**material, "cost": f"{Decimal(price) * count}", **more}


def basis(*materials: dict[str, object], **policy: str) -> dict[str, object]:
    rules = {"tax_policy": "none", "tax_rate": "0/1", "material": "20 markup", "equipment": "10 markup"}
    return {"materials": materials, "policy": {**rules, **policy}}


def test_what_was_all_on_hand_has_no_price_to_ask_again() -> None:
    stocked = kept("40.00", on_hand={"amount": "2", "cost": "80.00"}) | {"packages": [], "cost": "0.00"}
    assert compare_prices(basis(stocked), {}).lines == ()


def test_the_packages_of_the_paper_are_looked_up_line_by_line_and_in_sum() -> None:
    changes = compare_prices(basis(kept("40.00")), {"7": Decimal("46.00")})
    [line] = changes.lines
    assert (line.words, line.then, line.now, line.difference) == (
        "2 × 1 gal",
        Decimal("80.00"),
        Decimal("92.00"),
        Decimal("12.00"),
    )
    # 12.00 and the paper's fifth on top
    assert (changes.then, changes.now, changes.on_price) == (
        Decimal("80.00"),
        Decimal("92.00"),
        Decimal("14.40"),
    )


def test_tax_paid_at_the_store_and_the_markup_of_the_kind_are_in_the_effect() -> None:
    rules = {"tax_policy": "consumer", "tax_rate": f"{Fraction('0.065')}"}
    package = {"key": "8", "size": "1", "price": "100.00", "count": 1}
    lift = kept("100.00", 1, kind="equipment", packages=[package])
    changes = compare_prices(
        basis(kept("40.00"), lift, **rules), {"7": Decimal("41.00"), "8": Decimal("110.00")}
    )
    # 2.00 x 1.065 x 1.2 = 2.556; 10.00 x 1.065 x 1.1 = 11.715; together 14.271
    assert changes.on_price == Decimal("14.27")


def test_a_package_that_is_not_offered_any_more_is_named_and_not_counted() -> None:
    changes = compare_prices(basis(kept("40.00")), {})
    assert [line.name for line in changes.unknown] == ["Paint"]
    assert (changes.then, changes.now, changes.on_price) == (0, 0, 0)


def test_the_last_day_is_the_printed_one_or_the_last_that_was_said() -> None:
    printed = date(2026, 12, 24)
    said = [("sent", {}), ("extended", {"valid_to": "2027-01-10"}), ("extended", {"valid_to": "2027-02-01"})]
    assert last_day(printed, said[:1]) == printed
    assert last_day(printed, said) == date(2027, 2, 1)


def test_an_issued_paper_keeps_what_it_buys_and_finds_it_dearer(document: Document) -> None:
    assert len(package_keys(document.read_basis())) == 1
    Package.objects.update(price=Decimal("50.00"))
    prices = current_prices(document, make_firm(), LATE)
    assert prices.materials.difference == Decimal("20.00")
    # 20.00 and a fifth on top, in the draft as in the look-up
    assert prices.materials.on_price == Decimal("24.00")
    assert prices.total == Decimal("220.80")
    [repriced] = prices.revision.repriced
    assert (repriced.before, repriced.after) == ("196.80", "220.80")


def test_nothing_is_signed_after_the_last_day_and_again_once_it_is_extended(document: Document) -> None:
    assert document.state_as_of(LATE) == states.EXPIRED
    with pytest.raises(Refused, match="This paper was good to Thu 24 Dec 2026"):
        sign_on_paper(document, on=LATE)
    extend(document, LONGER, Decimal("20.00"), "pat", AT, LATE)
    assert why_closed(document, LATE) == ""
    assert why_closed(document, LONGER + timedelta(days=1)) != ""
    signed = sign_on_paper(document, on=LATE)
    assert signed.total.amount == Decimal("196.80")
    assert signed.read_record()["document"]["extended_to"] == LONGER.isoformat()
    assert list(faults()) == []


def test_what_was_issued_does_not_move_by_an_extension(document: Document) -> None:
    before = (document.snapshot_sha256, document.pdf_sha256, document.valid_to)
    extend(document, LONGER, Decimal("0.00"), "pat", AT, LATE)
    again = Document.objects.get(pk=document.pk)
    assert (again.snapshot_sha256, again.pdf_sha256, again.valid_to) == before
    assert again.last_day() == LONGER


def test_the_history_says_to_which_day_it_was_extended(document: Document) -> None:
    extend(document, LONGER, Decimal("12.00"), "pat", AT, LATE)
    event = document.events.get(kind="extended")
    assert event_in_words(event.kind, event.read_data()) == "extended: good to Mon 22 Feb 2027"
    assert event.read_data()["materials_moved"] == "12.00"


def history_words(document: Document, today: date) -> list[str]:
    return [entry.words.removeprefix("Estimate 1001 ") for entry in history([document], today)]


def test_the_history_says_since_when_a_paper_is_past_its_last_day(document: Document) -> None:
    last = document.last_day()
    assert last is not None
    assert "past its last day" not in " ".join(history_words(document, last))
    newest, *_ = history([document], last + timedelta(days=1))
    assert newest.words == "Estimate 1001 past its last day, Thu 24 Dec 2026"
    assert timezone.localtime(newest.at).strftime("%Y-%m-%d %H:%M") == "2026-12-25 00:00"


def test_a_paper_that_was_extended_was_past_its_last_day_before(document: Document) -> None:
    extend(document, LONGER, Decimal("0.00"), "pat", AT + timedelta(days=60), LATE)
    extended, past, issued = history_words(document, LONGER)
    assert (extended, past) == ("extended: good to Mon 22 Feb 2027", "past its last day, Thu 24 Dec 2026")
    assert issued.startswith("issued")
    assert history_words(document, LONGER + timedelta(days=1))[0] == "past its last day, Mon 22 Feb 2027"


def test_what_was_answered_in_time_never_comes_past_its_last_day(document: Document) -> None:
    sign_on_paper(document)
    assert "past its last day" not in " ".join(history_words(document, LATE))


@pytest.mark.parametrize(
    ("until", "message"),
    [
        (LATE - timedelta(days=1), "too early"),
        (DAY + timedelta(days=30), "too early"),
        (LATE + timedelta(days=366), "over a year away"),
    ],
)
def test_a_day_that_makes_no_sense_is_refused(document: Document, until: date, message: str) -> None:
    with pytest.raises(CannotExtend, match=message):
        extend(document, until, Decimal("0.00"), "pat", AT, LATE)
    assert not document.events.filter(kind="extended").exists()


def test_what_was_answered_is_not_extended(document: Document) -> None:
    sign_on_paper(document)
    with pytest.raises(CannotExtend, match="was accepted"):
        extend(document, LONGER, Decimal("0.00"), "pat", AT, LATE)


def test_a_signature_after_the_last_day_is_named_when_all_is_verified(document: Document) -> None:
    extend(document, LONGER, Decimal("0.00"), "pat", AT, LATE)
    sign_on_paper(document, on=LATE)
    with write_protection.without_triggers(connection):
        Acceptance.objects.update(signed_on=LONGER + timedelta(days=1))
    assert any("after the last day, 2027-02-22" in fault for fault in faults())


def test_the_firm_s_page_shows_the_difference_and_extends(signed_in: Client, late: Document) -> None:
    Package.objects.update(price=Decimal("50.00"))
    paper = signed_in.get(late.get_absolute_url()).content.decode()
    assert "Look prices up again" in paper
    address = reverse("document-late", args=[late.pk])
    page = signed_in.get(address).content.decode()
    for words in ("2 × 1 gal", "$80.00", "$100.00", "$20.00", "$24.00", "$220.80"):
        assert words in page
    refused = signed_in.post(address, {"until": "2020-01-01"})
    assert refused.status_code == 422
    assert "too early" in refused.content.decode()
    until = timezone.localdate() + timedelta(days=14)
    assert signed_in.post(address, {"until": until.isoformat()}).status_code == 302
    assert Document.objects.get(pk=late.pk).last_day() == until
    assert "extended from" in signed_in.get(late.get_absolute_url()).content.decode()


def test_the_client_signs_only_after_the_firm_extended_it(signed_in: Client, late: Document) -> None:
    browser, page = link_to(late)
    assert sign(browser, page, "196.80").status_code == 409
    until = timezone.localdate() + timedelta(days=14)
    signed_in.post(reverse("document-late", args=[late.pk]), {"until": until.isoformat()})
    assert "has let it stand longer" in browser.get(page).content.decode()
    assert sign(browser, page, "196.80").status_code == 302
    assert Acceptance.objects.get().total.amount == Decimal("196.80")


def test_a_revision_at_the_prices_of_today_replaces_it(signed_in: Client, late: Document) -> None:
    browser, page = link_to(late)
    Package.objects.update(price=Decimal("50.00"))
    asked = signed_in.post(reverse("document-late", args=[late.pk]), {"revise": "yes"}, follow=True)
    assert "$220.80" in asked.content.decode()
    assert Document.objects.count() == 1
    key = asked.context["unissued"].key
    today = timezone.localdate().isoformat()
    typed = {"key": key, "dated": today, "asked": today}
    signed_in.post(reverse("document-issue", args=[late.job_id]), typed)
    newer = Document.objects.get(supersedes=late)
    assert newer.total.amount == Decimal("220.80")
    assert "a newer paper replaces it" in browser.get(page).content.decode()
    assert sign(browser, page, "196.80").status_code == 409
    assert signed_in.get(reverse("document-late", args=[late.pk])).status_code == 302


def test_the_tape_and_today_say_that_prices_want_a_look(signed_in: Client, late: Document) -> None:
    for address in (reverse("today"), reverse("job-papers", args=[late.job_id])):
        assert "look prices up again" in signed_in.get(address).content.decode()


def test_the_page_of_prices_wants_a_sign_in(client: Client, late: Document) -> None:
    answer = client.post(reverse("document-late", args=[late.pk]), {"until": "2099-01-01"})
    assert answer.status_code == 302
    assert "sign-in" in answer["Location"]
    assert late.last_day() == late.valid_to
