"""Two photos are shown to nobody before the client has written yes, and no more once he has written no."""

import pytest
from django.test import Client
from django.urls import reverse

from estimating.models import Document, WaitingMail
from jobsite.models import DiaryPhoto, Reference
from tests.estimating.client_visits import sent
from tests.estimating.issuing import issue_now, painted_floor
from tests.jobsite.views.test_diary import write
from tests.jobsite.views.test_receipts import picture

pytestmark = pytest.mark.django_db


@pytest.fixture
def document(signed_in: Client) -> Document:
    document = issue_now(painted_floor())
    for says in ("As found", "Done"):
        write(signed_in, document.job, says, photos=picture())
    return document


@pytest.fixture
def pair(signed_in: Client, document: Document) -> Reference:
    before, after = DiaryPhoto.objects.values_list("pk", flat=True)
    typed = {"before": f"{before}", "after": f"{after}", "says": "The floor"}
    signed_in.post(reverse("job-references", args=[document.job_id]), typed)
    return Reference.objects.get()


def test_one_photo_is_no_pair(signed_in: Client, document: Document) -> None:
    photo = DiaryPhoto.objects.first()
    assert photo
    typed = {"before": f"{photo.pk}", "after": f"{photo.pk}"}
    page = signed_in.post(reverse("job-references", args=[document.job_id]), typed)
    assert "That is the same photo twice" in page.content.decode()


def test_a_pair_is_shown_once_the_client_wrote_yes_and_not_after_he_wrote_no(
    signed_in: Client, document: Document, pair: Reference
) -> None:
    browser = Client()
    page = int(browser.get(sent(signed_in, document))["Location"].rstrip("/").rpartition("/")[2])
    asked = reverse("client-reference", args=[page, pair.pk])
    assert asked in browser.get(reverse("client-job", args=[page])).content.decode()
    shown = []
    for answer in ("", "yes", "no"):
        if answer:
            browser.post(asked, {"answer": answer, "name": "Marisol Okonjo"})
        shown.append("The floor" in signed_in.get(reverse("references")).content.decode())
        assert "Okonjo" not in signed_in.get(reverse("references")).content.decode()  # as he was promised
    assert shown == [False, True, False]
    assert WaitingMail.objects.filter(text__contains="may not show two photos").exists()


def test_only_its_own_client_answers_and_sees_the_photos(
    signed_in: Client, document: Document, pair: Reference
) -> None:
    page = sent(signed_in, document)
    assert page
    stranger = Client()
    for name, args in (("client-reference", []), ("client-reference-photo", ["before"])):
        assert stranger.get(reverse(name, args=[1, pair.pk, *args])).status_code == 404
