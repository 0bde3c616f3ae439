"""The pages on which a change is written, and what they refuse."""

import io
import json
from decimal import Decimal
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from estimating.changes.issue import statement
from estimating.documents.issue import UnissuedDocument
from estimating.models import ChangeOrder, ChangePhoto, Document, Job, WorkItem
from tests.estimating.client_visits import sent, sign, visit
from tests.estimating.signed_kitchen import (
    agreed,
    cabinets_chosen,
    contract,
    issued_change,
    kitchen_estimate,
    make_change,
    photo,
    quick_line,
    rotten_subfloor,
    signed_change,
    signed_kitchen,
    trims_by_clients,
)
from tests.factories import add_component, make_assembly, make_operation
from tests.pdf_text import text_of
from tests.responses import PageResponse

pytestmark = pytest.mark.django_db
TRIMS = "Swap 6 recessed light trims (existing wiring)"


@pytest.fixture(scope="module")
def kitchen(kept_rows: None) -> int:
    return signed_kitchen().pk


@pytest.fixture
def job(kitchen: int, db: None) -> Job:
    return Job.objects.get(pk=kitchen)


def page(client: Client, name: str, *of: object, **typed: Any) -> PageResponse:
    address = reverse(name, args=of)
    return client.post(address, typed) if typed else client.get(address)


def begun(client: Client, job: Job, **typed: Any) -> PageResponse:
    typed = {"title": "Rotten subfloor", "reason": "hidden", "days": "2", **typed}
    return page(client, "change-new", job.pk, **typed)


def test_a_change_is_written_with_photo_line_and_days(signed_in: Client, job: Job) -> None:
    begun(signed_in, job, photos=photo(1600), found="Soft under the sink.", asked_by="Wren")
    change = ChangeOrder.objects.get()
    page(
        signed_in,
        "change-line-new",
        change.pk,
        title="Sister one joist",
        phase="rough",
        extra_hours="4",
        material_cost="26.80",
        material_taxable="on",
        at_most="on",
    )
    page(
        signed_in, "change-agreed-new", change.pk, title="Subfloor", quantity="24", unit="sq ft", amount="14"
    )
    shown = page(signed_in, "change", change.pk).content.decode()
    assert "$354.25" in shown
    assert "$336.00" in shown
    assert "$25,901.41" in shown  # 25,211.16 + 690.25
    assert "before about 25 working days, then about 27" in shown


def test_photos_come_before_the_words_on_the_page(signed_in: Client, job: Job) -> None:
    begun(signed_in, job, photos=photo(), found="Soft under the sink.")
    change = ChangeOrder.objects.get()
    agreed(change, "Fan", "1", "day", "30.00")
    text = page(signed_in, "change", change.pk).content.decode()
    assert text.index("<img") < text.index("Soft under the sink.")


def test_the_photo_of_a_change_stands_beside_its_reason_before_the_prices(
    signed_in: Client, job: Job
) -> None:
    begun(signed_in, job, photos=photo(), found="Soft under the sink.")
    change = ChangeOrder.objects.get()
    agreed(change, "Fan", "1", "day", "30.00")
    text = page(signed_in, "change-issue", change.pk).content.decode()
    paper = text[text.index("<article") :]
    order = [paper.index(part) for part in ("Soft under the sink.", "<img", "This change", "What is done")]
    assert order == sorted(order)


def test_a_photo_loses_its_place_and_is_made_smaller(signed_in: Client, job: Job) -> None:
    place = Image.Exif()
    place.get_ifd(0x8825)[1] = "N"
    place[0x010F] = "Invented Camera"
    taken = photo(2400, exif=place)
    assert b"Invented Camera" in taken.getvalue()
    begun(signed_in, job, photos=taken)
    kept = bytes(ChangePhoto.objects.get().content)
    assert b"Invented Camera" not in kept
    with Image.open(io.BytesIO(kept)) as small:
        assert small.size == (1200, 600)
        assert not small.getexif()


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"x" * (10 * 1024 * 1024 + 1), "over 10 MB"),
        (b"<script>alert(1)</script>", "isn&#x27;t a photo that can be read"),
        (b"%PDF-1.7 ... %%EOF", "That is a PDF"),
    ],
)
def test_a_file_that_is_no_photo_is_refused_and_nothing_is_kept(
    signed_in: Client, job: Job, content: bytes, message: str
) -> None:
    answer = begun(signed_in, job, photos=SimpleUploadedFile("rot.jpg", content, "image/jpeg"))
    assert answer.status_code == 422
    assert message in answer.content.decode()
    assert not ChangeOrder.objects.exists()


def test_a_change_carries_six_photos(signed_in: Client, job: Job) -> None:
    answer = begun(signed_in, job, photos=[photo(40 + 2 * number) for number in range(7)])
    assert "at most 6" in answer.content.decode()
    begun(signed_in, job, photos=[photo(40 + 2 * number) for number in range(6)])
    change = ChangeOrder.objects.get()
    typed = {"title": "Rot", "reason": "hidden", "days": "", "photos": photo(90)}
    answer = page(signed_in, "change-edit", change.pk, **typed)
    assert "remove one first" in answer.content.decode()
    page(signed_in, "change-photo-remove", change.photos.all()[0].pk, yes="yes")
    assert page(signed_in, "change-edit", change.pk, **typed | {"photos": photo(90)}).status_code == 302
    assert change.photos.count() == 6


@pytest.mark.parametrize("days", ["two", "1.5", "401", "-401"])
def test_days_that_are_no_days_are_answered_plainly(signed_in: Client, job: Job, days: str) -> None:
    answer = begun(signed_in, job, days=days)
    assert answer.status_code == 422
    text = answer.content.decode()
    assert "Type whole days, from -400 to 400." in text
    assert f'value="{days}"' in text


def test_what_must_be_said_is_asked_for(signed_in: Client, job: Job) -> None:
    answer = page(signed_in, "change-new", job.pk, title="", reason="whim")
    assert answer.status_code == 422
    assert "Choose one of those offered." in answer.content.decode()


def test_before_the_estimate_is_signed_there_is_no_change(signed_in: Client) -> None:
    answer = begun(signed_in, kitchen_estimate().job)
    assert answer.status_code == 409
    assert "The estimate isn&#x27;t signed yet" in answer.content.decode()
    assert not ChangeOrder.objects.exists()


def test_work_on_rooms_is_added_as_in_the_estimate_and_leaves_the_estimate_alone(
    signed_in: Client, job: Job
) -> None:
    floor = make_assembly("screw the subfloor", measure="floor", phase="rough")
    add_component(floor, make_operation("screw down", "1 hour per 100 sq ft"))
    change, own = make_change(job), job.estimates.get(change=None)
    before = own.items.count()
    page(signed_in, "change-work-add", change.pk, rooms=job.rooms.get().pk, assemblies=floor.pk)
    item = change.estimate.items.get()
    assert own.items.count() == before
    saved = page(
        signed_in,
        "work-item",
        job.pk,
        item.pk,
        title="Screw the subfloor down",
        phase="rough",
        **{f"room-{job.rooms.get().pk}": "on"},
    )
    assert saved["Location"] == change.get_absolute_url()
    # 142.22 sq ft take 1.42 h at 70.00, sold at 80.00
    assert "$113.60" in page(signed_in, "change", change.pk).content.decode()
    assert Document.objects.count() == 1


def test_the_job_s_own_work_stays_the_signed_estimate_s(signed_in: Client, job: Job) -> None:
    quick_line(make_change(job), "Sister one joist", "4")
    assert "Sister one joist" not in page(signed_in, "job-work", job.pk).content.decode()


def test_work_is_taken_out_settled_and_credited_on_pages(signed_in: Client, job: Job) -> None:
    change = make_change(job)
    allowance = contract(job).left_to_settle()[0].line
    page(signed_in, "change-choice", change.pk, allowance.document, allowance.key, title="Oak", cost="6780")
    lines = [line for line in contract(job).lines if not line.settled and line.place != allowance.place]
    place = next(number for number, line in enumerate(lines) if line.title == TRIMS)
    page(signed_in, "change-brought-new", change.pk, line=place, title="Trims", cost="126.00")
    page(signed_in, "change-take-out", change.pk, lines=0)
    shown = page(signed_in, "change", change.pk).content.decode()
    # 633.36 and its part of the trips: 480.00 x 633.36 / 16,551.96 = 18.37
    for price in ("$485.64", "-$161.03", "-$651.73"):
        assert price in shown
    page(signed_in, "change-line-remove", change.lines.get(kind="brought").pk, yes="yes")
    assert "-$161.03" not in page(signed_in, "change", change.pk).content.decode()


def test_a_difference_and_a_part_of_a_line_go_where_one_looks_for_them(signed_in: Client, job: Job) -> None:
    change, before = make_change(job), contract(job).lines[0]
    page(signed_in, "change-difference", change.pk, title="Better faucet", amount="84.50")
    page(signed_in, "change-take-out", change.pk, lines=0, part="100.00")
    shown = page(signed_in, "change", change.pk).content.decode()
    for words in ("Difference in price, as agreed.", "$84.50", "Part removed: ", "-$100.00"):
        assert words in shown
    signed_change(change)
    after = contract(job).lines[0]
    assert (before.left - after.left, after.settled) == (Decimal("100.00"), False)


@pytest.mark.parametrize(
    ("name", "typed", "message"),
    [
        ("change-difference", {"title": "Faucet", "amount": "0"}, "That is no difference"),
        ("change-take-out", {"lines": "0", "part": "999999.00"}, "is left of it: type less than that"),
        ("change-take-out", {"lines": ["0", "1"], "part": "10.00"}, "Tick one piece of work"),
        ("change-agreed-new", {"title": "Fan", "quantity": "0", "amount": "14"}, "out of range"),
        ("change-agreed-new", {"title": "Fan", "quantity": "1", "amount": "x"}, "isn&#x27;t a price"),
        ("change-take-out", {"lines": "99"}, "Choose one of those offered."),
        ("change-brought-new", {"line": "0", "title": "Trims", "cost": "0"}, "That is nothing"),
        ("change-line-new", {"title": "", "phase": "rough", "extra_hours": "4"}, "Fill this in."),
    ],
)
def test_bad_input_is_answered_beside_the_field_and_keeps_nothing(
    signed_in: Client, job: Job, name: str, typed: dict[str, Any], message: str
) -> None:
    change = make_change(job)
    answer = page(signed_in, name, change.pk, **typed)
    assert answer.status_code == 422
    assert message in answer.content.decode()
    assert not change.lines.exists()
    assert not change.estimate.items.exists()


def key_of(client: Client, change: ChangeOrder) -> str:
    unissued: UnissuedDocument = page(client, "change-issue", change.pk).context["unissued"]
    return unissued.key


def test_a_double_tap_issues_one_change_order(signed_in: Client, job: Job) -> None:
    change = rotten_subfloor(job)
    key = key_of(signed_in, change)
    answers = [page(signed_in, "change-issue", change.pk, key=key) for _ in range(2)]
    assert len({answer["Location"] for answer in answers}) == 1
    assert Document.objects.filter(kind="change_order").count() == 1


@pytest.mark.parametrize("then", ["go-ahead", "document-send"])
def test_issued_by_its_button_a_change_goes_on_to_be_signed_or_sent(
    signed_in: Client, job: Job, then: str
) -> None:
    change = rotten_subfloor(job)
    key = key_of(signed_in, change)
    answers = [page(signed_in, "change-issue", change.pk, key=key, then=then) for _ in range(2)]
    document = Document.objects.get(kind="change_order")
    assert {answer.headers["Location"] for answer in answers} == {reverse(then, args=[document.pk])}


def test_a_change_edited_in_another_tab_is_read_again_before_it_is_issued(
    signed_in: Client, job: Job
) -> None:
    change = rotten_subfloor(job)
    key = key_of(signed_in, change)
    quick_line(change, "A second joist", "2")
    answer = page(signed_in, "change-issue", change.pk, key=key)
    assert answer.status_code == 409
    assert "Read it again before you issue it." in answer.content.decode()


def test_the_client_signs_a_change_on_the_same_page_as_an_estimate(signed_in: Client, job: Job) -> None:
    document = issued_change(rotten_subfloor(job), timezone.localdate())
    browser, address = visit(sent(signed_in, document))
    read = browser.get(address).content.decode()
    assert "The dishwasher leaked under the sink run." in read
    assert sign(browser, address, "750.25").status_code == 302
    assert contract(job).contract.total == Decimal("25961.41")
    signed = text_of(browser.get(f"{address}signed.pdf").content)
    assert "Record of the signature" in signed
    assert "$750.25" in signed


def test_a_credit_is_signed_with_its_minus(signed_in: Client, job: Job) -> None:
    document = issued_change(trims_by_clients(job), timezone.localdate())
    browser, address = visit(sent(signed_in, document))
    assert "-$161.03" in browser.get(address).content.decode()
    sign(browser, address, "-161.03")
    assert contract(job).contract.total == Decimal("25050.13")


def test_what_waits_for_a_signature_is_named_and_not_counted(signed_in: Client, job: Job) -> None:
    issued_change(rotten_subfloor(job))
    shown = page(signed_in, "job-papers", job.pk).content.decode()
    assert "Work waiting for a signature" in shown
    assert "1 change waits for a signature" in shown
    assert "1 change waits for a signature" in page(signed_in, "today").content.decode()
    assert contract(job).contract.total == Decimal("25211.16")


def test_a_declined_change_is_back_among_those_being_written(signed_in: Client, job: Job) -> None:
    document = issued_change(rotten_subfloor(job), timezone.localdate())
    browser, address = visit(sent(signed_in, document))
    browser.post(f"{address}decline/", {"reason": "Too dear"})
    shown = page(signed_in, "job-papers", job.pk)
    assert [change.title for change in shown.context["being_written"]] == ["Rotten subfloor"]
    assert shown.context["waiting"] == []


def test_the_statement_of_the_contract_shows_the_whole_chain(signed_in: Client, job: Job) -> None:
    signed_change(rotten_subfloor(job))
    signed_change(cabinets_chosen(job))
    issued_change(trims_by_clients(job))
    text = text_of(page(signed_in, "contract-pdf", job.pk).content)
    for words in ("$25,211.16", "$25,961.41", "$26,447.05", "$1,235.89", "about 27 working days"):
        assert words in text
    assert "Waiting for a signature, not counted" in text
    assert "-$161.03" in text
    shown = statement(job, contract(job), timezone.localdate())
    assert sum(Decimal(part["price"]) for part in shown["parts"]) == Decimal(shown["original"])
    assert "What the original sum is made of" in text


def test_without_a_signature_there_is_no_statement(signed_in: Client) -> None:
    assert page(signed_in, "contract-pdf", kitchen_estimate().job.pk).status_code == 409


def test_a_signed_change_stays_as_it_is(signed_in: Client, job: Job) -> None:
    change = rotten_subfloor(job)
    item = change.estimate.items.get()
    line = change.lines.all()[0]
    document = signed_change(change)
    kept = (document.snapshot, WorkItem.objects.values().get(pk=item.pk), change.lines.count())
    assert page(signed_in, "change", change.pk)["Location"] == document.get_absolute_url()
    for name, of in (
        ("change-edit", change.pk),
        ("change-line-new", change.pk),
        ("change-agreed-new", change.pk),
        ("change-take-out", change.pk),
        ("change-discard", change.pk),
        ("change-line-remove", line.pk),
    ):
        assert (
            page(signed_in, name, of, title="Other", reason="ours")["Location"] == document.get_absolute_url()
        )
    page(signed_in, "work-item", job.pk, item.pk, title="Other", phase="rough", extra_hours="9")
    page(signed_in, "work-remove", job.pk, item.pk, yes="yes")
    document.refresh_from_db()
    assert (document.snapshot, WorkItem.objects.values().get(pk=item.pk), change.lines.count()) == kept


def test_a_change_that_was_never_issued_can_be_thrown_away(signed_in: Client, job: Job) -> None:
    change = rotten_subfloor(job)
    page(signed_in, "change-discard", change.pk, yes="yes")
    assert not ChangeOrder.objects.exists()
    assert job.estimates.count() == 1


def test_an_issued_change_is_withdrawn_and_not_thrown_away(signed_in: Client, job: Job) -> None:
    change = rotten_subfloor(job)
    document = issued_change(change)
    assert page(signed_in, "change-discard", change.pk, yes="yes")["Location"] == document.get_absolute_url()
    assert ChangeOrder.objects.filter(pk=change.pk).exists()


def test_an_allowance_of_another_job_is_not_settled_by_changing_an_id(signed_in: Client, job: Job) -> None:
    other = contract(signed_kitchen()).left_to_settle()[0].line
    change = make_change(job)
    answer = page(signed_in, "change-choice", change.pk, other.document, other.key, title="Oak", cost="1")
    assert answer["Location"] == change.get_absolute_url()
    assert not change.lines.exists()


def test_markup_in_what_is_typed_stays_text(signed_in: Client, job: Job) -> None:
    change = make_change(job, "<script>alert(1)</script>", found="<b>rot</b>")
    agreed(change, "<i>Fan</i>", "1", "day", "30.00")
    for name in ("change", "change-issue"):
        text = page(signed_in, name, change.pk).content.decode()
        assert "<script>alert(1)" not in text
        assert "<b>rot" not in text
        assert "<i>Fan" not in text
    assert "<script>alert(1)" in json.loads(issued_change(change).snapshot)["about"]


@pytest.mark.parametrize("name", ["change", "change-edit", "change-issue", "change-pdf"])
def test_pages_of_changes_want_a_sign_in(client: Client, job: Job, name: str) -> None:
    answer = page(client, name, make_change(job).pk)
    assert answer.status_code == 302
    assert "sign-in" in answer["Location"]


def test_terms_typed_on_the_job_stand_on_the_paper(signed_in: Client) -> None:
    job = kitchen_estimate().job
    page(
        signed_in,
        "change-terms",
        job.pk,
        change_markup="25",
        change_fee="45",
        change_minimum="200",
        deduct_keeps_percent="12.5",
    )
    shown = page(signed_in, "job-papers", job.pk).content.decode()
    for words in ("25% on top", "a fee of $45.00", "at least $200.00", "less 12.5% of it"):
        assert words in shown


def test_the_number_of_queries_does_not_grow_with_the_lines(signed_in: Client, job: Job) -> None:
    change = rotten_subfloor(job)
    page(signed_in, "change", change.pk)  # which keeps the days that the change was read for
    counts = []
    for more in range(2):
        for number in range(6 * more):
            agreed(change, f"Fan {number}", "1", "day", "30.00")
            quick_line(change, f"Joist {number}", "1")
        with CaptureQueriesContext(connection) as seen:
            page(signed_in, "change", change.pk)
        counts.append(len(seen))
    assert counts[0] == counts[1]


def test_an_issued_change_leads_back_to_editing_it_as_a_new_one(signed_in: Client, job: Job) -> None:
    change = rotten_subfloor(job)
    document = issued_change(change)
    page = signed_in.get(document.get_absolute_url()).content.decode()
    assert f'href="{change.get_absolute_url()}">Edit it as a new one' in page


def test_a_signed_change_says_that_it_stays_and_where_further_ones_go(signed_in: Client, job: Job) -> None:
    document = signed_change(rotten_subfloor(job))
    page = signed_in.get(document.get_absolute_url()).content.decode()
    assert "Edit it as a new one" not in page
    assert "Signed, it stays as it is." in page
    assert reverse("change-new", args=[job.pk]) in page


def test_the_client_declines_a_change_and_reads_that_the_contract_stays(signed_in: Client, job: Job) -> None:
    document = issued_change(rotten_subfloor(job), timezone.localdate())
    browser, page = visit(sent(signed_in, document))
    shown = browser.get(page).content.decode()
    assert "Decline this change" in shown
    assert "moves the contract sum by $750.25" in shown
    assert "Decline this estimate" not in shown
    browser.post(f"{page}decline/", {"reason": "Too much"})
    assert "Your contract stays as you signed it." in browser.get(page).content.decode()


def test_the_rule_of_the_state_is_seen_while_a_change_is_written(signed_in: Client, job: Job) -> None:
    job.state = "CA"
    job.save()
    page = signed_in.get(reverse("change-new", args=[job.pk])).content.decode()
    assert "Business and Professions Code 7159.6" in page
