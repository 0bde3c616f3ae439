"""Signing in with a second step, and what a thief of the password or of an open browser can't do."""

import re

import pyotp
import pytest
from django.contrib.auth.models import User
from django.core import mail
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoCaptureOnCommitCallbacks

from account.models import Device, RecoveryCode, SecondStep, SignInEvent
from estimating.models import WaitingMail

pytestmark = pytest.mark.django_db
TYPED = {"username": "pat", "password": "a tape and a pencil"}
PASSWORD = TYPED["password"]
CODE_PAGE, ACCOUNT = "/sign-in/code/", "/firm/sign-in/"


@pytest.fixture
def secret(owner: User) -> str:
    made = pyotp.random_base32()
    SecondStep.objects.create(user=owner, secret=made, begun_at=timezone.now())
    return made


def kinds() -> list[str]:
    return list(SignInEvent.objects.order_by("pk").values_list("kind", flat=True))


def test_the_password_alone_opens_nothing_and_the_code_leads_where_he_wanted(
    client: Client, secret: str
) -> None:
    answer = client.post("/sign-in/", {**TYPED, "next": "/catalog/"})
    assert answer["Location"] == CODE_PAGE
    assert client.get("/").status_code == 302
    refused = client.post(CODE_PAGE, {"code": "000000"})
    assert (refused.status_code, "That isn&#x27;t a code of now" in refused.content.decode()) == (422, True)
    assert client.post(CODE_PAGE, {"code": pyotp.TOTP(secret).at(timezone.now())})["Location"] == "/catalog/"
    assert client.get("/").status_code == 200
    assert kinds() == ["refused", "new device"]


def test_codes_are_guessed_no_faster_than_passwords(client: Client, secret: str) -> None:
    guesses = [client.post("/sign-in/", TYPED).status_code]
    guesses += [client.post(CODE_PAGE, {"code": "000000"}).status_code for _ in range(4)]
    assert guesses == [302, *[422] * 4]
    assert client.post("/sign-in/", TYPED).status_code == 429  # the right password starts no new count
    assert client.post(CODE_PAGE, {"code": pyotp.TOTP(secret).at(timezone.now())}).status_code == 429


def test_a_code_is_asked_for_only_after_the_password_and_not_after_it_changed(
    client: Client, owner: User, secret: str
) -> None:
    assert client.post(CODE_PAGE, {"code": pyotp.TOTP(secret).at(timezone.now())})["Location"] == "/sign-in/"
    client.post("/sign-in/", TYPED)
    owner.set_password("another one, changed meanwhile")
    owner.save()
    assert client.post(CODE_PAGE, {"code": pyotp.TOTP(secret).at(timezone.now())})["Location"] == "/sign-in/"
    assert client.get("/").status_code == 302


def test_it_is_turned_on_by_scanning_and_a_first_code_and_shows_recovery_codes_once(
    signed_in: Client, owner: User
) -> None:
    page = signed_in.get(reverse("second-step-on"))
    assert "<svg" in page.content.decode()
    secret = signed_in.session["new_secret"]
    typed = {"code": pyotp.TOTP(secret).at(timezone.now()), "own_password": "a guess"}
    assert signed_in.post(reverse("second-step-on"), typed).status_code == 422
    assert not SecondStep.objects.exists()
    shown = signed_in.post(reverse("second-step-on"), {**typed, "own_password": PASSWORD})
    codes = re.findall(r"<strong>(\w{5}-\w{5})</strong>", shown.content.decode())
    assert (len(codes), RecoveryCode.objects.count()) == (10, 10)
    assert "no-store" in shown["Cache-Control"]
    assert secret not in signed_in.get(ACCOUNT).content.decode()
    other = Client()
    other.post("/sign-in/", TYPED)
    assert other.post(CODE_PAGE, {"code": codes[0]}).status_code == 302
    assert other.get("/").status_code == 200
    assert kinds() == ["second on", "recovered", "new device"]


@pytest.mark.parametrize("page", ["second-step-off", "recovery-codes", "account-email"])
def test_who_finds_the_browser_open_changes_nothing_without_the_password_or_a_code(
    signed_in: Client, owner: User, secret: str, page: str
) -> None:
    before = (SecondStep.objects.count(), list(RecoveryCode.objects.values_list()), owner.email)
    typed = {"email": "thief@elsewhere.example.com"}
    assert signed_in.post(reverse(page), {**typed, "own_password": "a guess"}).status_code == 422
    owner.refresh_from_db()
    assert (SecondStep.objects.count(), list(RecoveryCode.objects.values_list()), owner.email) == before
    right = {**typed, "own_password": pyotp.TOTP(secret).at(timezone.now())}
    assert signed_in.post(reverse(page), right).status_code in (200, 302)
    assert [signed_in.post(reverse(page), {"own_password": "x"}).status_code for _ in range(7)][-1] != 200


def test_a_device_that_is_ended_is_out_at_its_next_page(signed_in: Client, owner: User) -> None:
    phone = Client(headers={"user-agent": "Mozilla/5.0 (iPhone; CPU iPhone OS 19) CriOS/140 Safari"})
    phone.post("/sign-in/", TYPED)
    assert phone.get("/").status_code == 200
    assert "On 2 devices" in signed_in.get(ACCOUNT).content.decode()
    page = signed_in.get(reverse("devices")).content.decode()
    assert "Chrome on iPhone" in page
    assert str(phone.session.session_key) not in page
    (end,) = re.findall(r'action="(/firm/devices/\w+/end/)"', page)
    assert signed_in.post(end).status_code == 302
    assert phone.get("/")["Location"].startswith("/sign-in/")
    assert signed_in.get("/").status_code == 200


def test_a_changed_password_ends_every_other_device(signed_in: Client, owner: User) -> None:
    phone = Client()
    phone.post("/sign-in/", TYPED)
    new = "chalk line snapped true"
    typed = {"old_password": PASSWORD, "new_password1": new, "new_password2": new}
    assert signed_in.post(reverse("password-change"), typed).status_code == 302
    assert signed_in.get("/").status_code == 200
    assert phone.get("/").status_code == 302
    assert Device.objects.filter(user=owner).count() == 1


def test_the_old_password_is_guessed_no_faster_where_it_is_changed(signed_in: Client, owner: User) -> None:
    new = "chalk line snapped true"
    typed = {"old_password": "a guess", "new_password1": new, "new_password2": new}
    answers = [signed_in.post(reverse("password-change"), typed).status_code for _ in range(6)]
    assert answers == [*[422] * 5, 429]


def test_a_forgotten_password_is_changed_by_mail_once_and_the_answer_names_nobody(
    client: Client, owner: User, django_capture_on_commit_callbacks: DjangoCaptureOnCommitCallbacks
) -> None:
    User.objects.filter(pk=owner.pk).update(email="pat@tolliver.example.com")
    open_before = Client()
    open_before.force_login(owner)
    with django_capture_on_commit_callbacks(execute=True):
        known = client.post(reverse("forgotten"), {"email": "pat@tolliver.example.com"}).content
    unknown = client.post(reverse("forgotten"), {"email": "x@tolliver.example.com"}).content
    token = rb"\b\w{64}\b"  # against forgery, other on each page
    assert re.sub(token, b"", known) == re.sub(token, b"", unknown)
    way = next(message for message in mail.outbox if "new password" in message.subject)
    assert way.to == ["pat@tolliver.example.com"]
    (path,) = re.findall(r"http://testserver(/sign-in/new-password/\S+)", str(way.body))
    assert not WaitingMail.objects.exclude(text="").exists()  # what opens something isn't kept
    form = client.get(path)["Location"]
    new = "chalk line snapped true"
    assert client.post(form, {"new_password1": "short", "new_password2": "short"}).status_code == 422
    assert client.post(form, {"new_password1": new, "new_password2": new})["Location"] == "/sign-in/"
    assert open_before.get("/").status_code == 302
    assert "This way is closed" in Client().get(path, follow=True).content.decode()
    owner.refresh_from_db()
    assert owner.check_password(new)


def test_signing_in_on_a_new_device_is_mailed_and_on_a_known_one_is_not(
    client: Client, owner: User, django_capture_on_commit_callbacks: DjangoCaptureOnCommitCallbacks
) -> None:
    User.objects.filter(pk=owner.pk).update(email="pat@tolliver.example.com")
    with django_capture_on_commit_callbacks(execute=True):
        client.post("/sign-in/", TYPED)
    client.post("/sign-out/")
    with django_capture_on_commit_callbacks(execute=True):
        client.post("/sign-in/", TYPED)
    assert [message.subject.split(":")[0] for message in mail.outbox] == [
        "Signed in on a device for the first time"
    ]
