"""How much may be sent, by address and by who sends it."""

import pytest
from django import forms
from django.test import Client
from django.urls import resolve, reverse

from access.body_limits import MOST_OF_A_FORM, MOST_OF_A_STRANGER, MOST_WITH_FILES, most_bytes
from access.devices import cookie_name, known_device
from catalog.forms.price_list import PriceListForm
from catalog.forms.prices import SupplierFileForm
from catalog.forms.wages import WageRowsForm
from estimating.client.photos import MOST_PHOTOS
from estimating.client.uploads import MOST_BYTES
from estimating.forms.changes import ChangeForm
from estimating.forms.client import GoAheadForm, PaperSignatureForm
from estimating.forms.hidden_conditions import OpenedForm
from estimating.forms.photos import EstimatePhotosForm, LetterheadForm
from invoicing.forms.plan import ReachedForm
from jobsite.forms.choices import ChoiceOfferForm
from jobsite.forms.diary import DiaryForm
from jobsite.forms.permits import PermitForm
from jobsite.forms.receipts import ReceiptForm
from tests.access.cookies import cookie_of

WITH_FILES = {  # by the form that takes the files
    PriceListForm: ["price-list-import"],
    ChangeForm: ["change-new", "change-edit"],
    OpenedForm: ["hidden-conditions"],
    PaperSignatureForm: ["paper-signature"],
    ReachedForm: ["milestone-reached"],
    GoAheadForm: ["go-ahead"],
    LetterheadForm: ["letterhead"],
    EstimatePhotosForm: ["estimate-photos"],
    ReceiptForm: ["receipts", "receipt"],
    ChoiceOfferForm: ["choice"],
    DiaryForm: ["diary", "diary-entry"],
    PermitForm: ["permit-new", "permit"],
    SupplierFileForm: ["supplier-file"],
    WageRowsForm: ["wages"],
}
WITHOUT_A_ROW = {"price-list-import", "letterhead", "supplier-file", "wages"}


def path_of(name: str) -> str:
    return reverse(name) if name in WITHOUT_A_ROW else reverse(name, args=[1])


@pytest.mark.parametrize("name", [name for names in WITH_FILES.values() for name in names])
def test_a_page_that_takes_files_takes_six_photos_from_a_known_device(name: str) -> None:
    assert most_bytes(path_of(name), cookie_of()) == MOST_WITH_FILES > MOST_PHOTOS * MOST_BYTES
    assert most_bytes(path_of(name), "") == MOST_OF_A_STRANGER


def test_every_form_that_takes_files_is_known_here() -> None:
    def all_forms(kind: type[forms.BaseForm]) -> set[type[forms.BaseForm]]:
        return {kind}.union(*(all_forms(each) for each in kind.__subclasses__()))

    with_files = {
        form
        for form in all_forms(forms.BaseForm)
        if form.__module__.startswith(("catalog.", "estimating.", "jobsite.", "invoicing."))
        and any(isinstance(field, forms.FileField) for field in getattr(form, "base_fields", {}).values())
    }
    assert with_files == set(WITH_FILES)


@pytest.mark.parametrize("path", ["/", "/sign-in/", "/jobs/new/", "/no/such/address/", "//", "/\ufffd/"])
def test_everything_else_is_small(path: str) -> None:
    assert most_bytes(path, cookie_of()) == MOST_OF_A_FORM
    assert most_bytes(path, "") == MOST_OF_A_STRANGER


@pytest.mark.parametrize("cookies", ["", "device=", "device=x:y:z", "sessionid=abc", "\x00=;;="])
def test_a_made_up_cookie_is_a_strangers(cookies: str) -> None:
    assert most_bytes("/jobs/new/", cookies) == MOST_OF_A_STRANGER


@pytest.mark.django_db
def test_signing_in_makes_a_device_known_and_signing_out_leaves_it_so(client: Client, owner: object) -> None:
    client.post(reverse("login"), {"username": "pat", "password": "a tape and a pencil"})
    cookie = client.cookies[cookie_name()]
    assert (cookie["httponly"], cookie["samesite"], cookie["path"]) == (True, "Lax", "/")
    client.post(reverse("logout"))
    device = known_device({cookie_name(): client.cookies[cookie_name()].value})
    assert device
    assert device[0] == "pat"


def test_a_mark_stays_on_the_view_that_the_address_leads_to() -> None:
    assert resolve("/changes/1/edit/").func.__name__ == "change_edit"
