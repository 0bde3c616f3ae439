"""Receipts, their photos and lines, and miles."""

import io
from decimal import Decimal
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from catalog.models import Package
from estimating.models import Document, Job
from jobsite.models import BoughtMaterial, Correction, Mileage, ReceiptKept, ReceiptLine, ReceiptPhoto
from tests.estimating.signed_kitchen import make_change, quick_line, signed_change
from tests.invoicing.bills import billed, signed_floor
from tests.responses import PageResponse

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def floor(kept_rows: None) -> int:
    return signed_floor().pk


@pytest.fixture
def job(floor: int, db: None) -> Job:
    return Job.objects.get(pk=floor)


@pytest.fixture
def by_receipt(signed_in: Client, job: Job) -> Document:
    """A change by hours and receipts: at most 4 hours and $26.80 of material."""
    change = make_change(job)
    quick_line(change, "Sister one joist, 8 ft", "4", "26.80", at_most=True)
    return signed_change(change)


def enter(client: Client, job: Job, **typed: Any) -> PageResponse:
    whole = {"on": timezone.localdate().isoformat(), "total": "153.90", "says": "Floor paint", **typed}
    return client.post(reverse("receipts", args=[job.pk]), whole, follow=True)


def picture(name: str = "receipt.jpg") -> SimpleUploadedFile:
    """A photo taken on its side, as the phone notes, with the place where it was taken."""
    taken, noted = io.BytesIO(), Image.Exif()
    noted[0x0112] = 6  # turned by a quarter
    noted[0x8825] = {1: "N", 2: (44.0, 12.0, 3.0)}
    Image.new("RGB", (300, 100), (240, 240, 235)).save(taken, "JPEG", exif=noted)
    return SimpleUploadedFile(name, taken.getvalue(), "image/jpeg")


def test_a_receipt_is_kept_with_its_photo_turned_and_without_its_place(signed_in: Client, job: Job) -> None:
    enter(signed_in, job, tax="9.40", supplier="Fennimore Lumber", photos=[picture()])
    row = ReceiptKept.objects.get()
    assert (row.cost.amount, row.tax.amount, row.total) == (
        Decimal("144.50"),
        Decimal("9.40"),
        Decimal("153.90"),
    )
    answer = signed_in.get(reverse("receipt-photo", args=[row.pk]))
    kept = Image.open(io.BytesIO(answer.content))
    assert kept.size == (100, 300)
    assert not kept.getexif()


def test_one_photo_is_asked_for(signed_in: Client, job: Job) -> None:
    assert " multiple" not in signed_in.get(reverse("receipts", args=[job.pk])).content.decode()


def test_a_photo_is_kept_while_something_else_is_put_right(signed_in: Client, job: Job) -> None:
    refused = enter(signed_in, job, total="€9", photos=[picture()])
    carried = refused.context["form"].carried_photo()
    assert f'name="carried_photo" value="{carried}"' in refused.content.decode()
    assert "Your photo is kept" in refused.content.decode()
    again = enter(signed_in, job, total="€10", carried_photo=carried)  # still wrong, and still kept
    assert again.context["form"].carried_photo() == carried
    forged = enter(signed_in, job, total="9", carried_photo="A" + carried[1:])
    assert "Choose it again" in forged.content.decode()
    assert not ReceiptKept.objects.exists()
    enter(signed_in, job, total="9", carried_photo=carried)
    photo = signed_in.get(reverse("receipt-photo", args=[ReceiptKept.objects.get().pk]))
    assert Image.open(io.BytesIO(photo.content)).size == (100, 300)


def test_what_went_back_is_below_zero(signed_in: Client, job: Job) -> None:
    enter(signed_in, job, total="21.40", tax="1.40", is_return="on")
    assert ReceiptKept.objects.get().total == Decimal("-21.40")
    assert "-$21.40" in signed_in.get(reverse("receipts", args=[job.pk])).content.decode()


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        ({"total": "€153.90"}, "isn&#x27;t in dollars"),
        ({"total": "153.90 CAD"}, "isn&#x27;t in dollars"),
        ({"total": "0"}, "Type what was paid"),
        ({"tax": "153.90"}, "type less than that"),
        ({"on": "2999-01-01"}, "still to come"),
        ({"photos": [SimpleUploadedFile("note.jpg", b"no picture", "image/jpeg")]}, "isn&#x27;t a photo"),
        ({"photos": [picture("a.jpg"), picture("b.jpg")]}, "a receipt has one"),
        (
            {"photos": [SimpleUploadedFile("big.jpg", b"\xff\xd8" + bytes(11 * 1024 * 1024), "image/jpeg")]},
            "over 10 MB",
        ),
    ],
)
def test_what_cannot_be_is_said_at_its_field_and_nothing_typed_is_lost(
    signed_in: Client, job: Job, typed: dict[str, Any], message: str
) -> None:
    page = enter(signed_in, job, **typed)
    said = page.content.decode()
    assert page.status_code == 422
    assert message in said
    assert 'value="Floor paint"' in said
    assert not ReceiptKept.objects.exists()


def test_a_correction_keeps_what_it_was_and_the_photo(signed_in: Client, job: Job) -> None:
    enter(signed_in, job, photos=[picture()])
    row = ReceiptKept.objects.get()
    typed = {"on": row.on.isoformat(), "total": "135.90", "says": "Floor paint"}
    signed_in.post(reverse("receipt", args=[row.pk]), typed)
    page = signed_in.get(reverse("receipt", args=[row.pk])).content.decode()
    assert "$153.90, Floor paint" in page
    assert "$135.90" in page
    assert ReceiptPhoto.objects.get().receipt == row
    signed_in.post(reverse("receipt-remove", args=[row.pk]))
    assert not ReceiptPhoto.objects.exists()
    assert Correction.objects.filter(removed=True).get().was.endswith("$135.90, Floor paint")


def test_a_receipt_of_a_change_is_billed_with_it_and_what_went_back_is_not(
    signed_in: Client, job: Job, by_receipt: Document
) -> None:
    enter(signed_in, job, total="20.00", change=str(by_receipt.pk))
    enter(signed_in, job, total="5.00", change=str(by_receipt.pk), is_return="on")
    # 15.00 with 20 % on top
    assert billed(job, "Change order 1, Rotten subfloor").total.amount == Decimal("18.00")
    first = ReceiptKept.objects.order_by("pk")[0]
    answer = signed_in.post(reverse("receipt-remove", args=[first.pk]), follow=True)
    assert "More went back to the store" in answer.content.decode()
    assert ReceiptKept.objects.count() == 2
    enter(signed_in, job, total="1.00", change=str(by_receipt.pk), is_return="on")
    assert ReceiptKept.objects.count() == 2


def test_a_line_of_a_material_offers_its_new_price_which_only_he_takes(signed_in: Client, job: Job) -> None:
    enter(signed_in, job)
    row, package = ReceiptKept.objects.get(), Package.objects.order_by("pk")[0]
    was = package.price
    for _ in range(2):
        typed = {"package": str(package.pk), "quantity": "2", "amount": "99.98"}
        signed_in.post(reverse("receipt-line-new", args=[row.pk]), typed)
    page = signed_in.get(reverse("receipt", args=[row.pk])).content.decode()
    assert "now $49.99: take it?" in page
    package.refresh_from_db()
    assert package.price == was
    first, second = ReceiptLine.objects.all()
    signed_in.post(reverse("receipt-price", args=[first.pk]), {"leave": "yes"})
    package.refresh_from_db()
    assert package.price == was
    signed_in.post(reverse("receipt-price", args=[second.pk]), {"take": "yes"})
    package.refresh_from_db()
    assert (package.price.amount, package.priced_on) == (Decimal("49.99"), row.on)
    assert "take it?" not in signed_in.get(reverse("receipt", args=[row.pk])).content.decode()


def test_ticks_of_the_shopping_list_say_what_is_still_to_buy(signed_in: Client, job: Job) -> None:
    address = reverse("receipts", args=[job.pk])
    code = job.documents.get().read_basis()["materials"][0]["code"]
    assert "1 of 1 lines of the list is still to buy" in signed_in.get(address).content.decode()
    signed_in.post(reverse("shopping-tick", args=[job.pk]), {f"bought-{code}": "on", "bought-else": "on"})
    assert BoughtMaterial.objects.get().code == code
    assert "All of the list is bought" in signed_in.get(address).content.decode()


def test_what_is_on_hand_after_the_signing_is_not_to_buy(signed_in: Client, job: Job) -> None:
    address, material = reverse("receipts", args=[job.pk]), job.documents.get().read_basis()["materials"][0]
    assert (material["required"], len(material["packages"])) == ("2", 1)  # 2 gal of paint, in gallons
    for gallons, says in (("1", "1 × 1 gal"), ("2", "There is nothing to buy.")):
        signed_in.post(reverse("on-hand", args=[job.pk]), {f"on-{material['code']}": gallons})
        assert says in signed_in.get(address).content.decode()
    assert job.documents.get().read_basis()["materials"] == [material]


def test_a_line_of_a_material_stands_at_the_work_that_needs_it_with_its_part_of_the_tax(
    signed_in: Client, job: Job
) -> None:
    enter(signed_in, job, total="106.00", tax="6.00")
    package = Package.objects.order_by("pk")[0]
    typed = {"package": str(package.pk), "quantity": "2", "amount": "90.00"}
    signed_in.post(reverse("receipt-line-new", args=[ReceiptKept.objects.get().pk]), typed)
    bought = signed_in.get(reverse("receipts", args=[job.pk])).context["bought"]
    (line,) = bought.phases[0].lines
    assert (line.priced, line.spent, bought.for_job) == (80, Decimal("95.40"), Decimal("10.60"))
    assert bought.warnings[-1].endswith("$95.40 of $80.00.")


def test_miles_are_kept_at_the_rate_that_was_typed_and_none_is_shipped(signed_in: Client, job: Job) -> None:
    address = reverse("mileage", args=[job.pk])
    assert signed_in.get(address).context["form"]["rate"].initial is None
    typed = {"on": timezone.localdate().isoformat(), "miles": "18.4", "rate": "0.655"}
    signed_in.post(address, typed)
    page = signed_in.get(address).content.decode()
    assert "$12.05" in page  # 18.4 at 0.655 are 12.052
    assert 'value="0.655"' in page
    row = Mileage.objects.get()
    signed_in.post(reverse("mileage-edit", args=[row.pk]), {**typed, "miles": "8.4"})
    assert "18.4 miles at $0.655" in signed_in.get(reverse("mileage-edit", args=[row.pk])).content.decode()
    signed_in.post(reverse("mileage-remove", args=[row.pk]))
    assert not Mileage.objects.exists()
