"""Passkeys: who may add and remove them, what answers don't count, and what else must be asked."""

import json
from datetime import timedelta

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import Settings

from account.models import Device, Passkey, RecoveryCode, SignInEvent, SignInRules
from account.second_step import new_recovery_codes

pytestmark = pytest.mark.django_db
TYPED = {"username": "pat", "password": "a tape and a pencil"}
PASSWORD = TYPED["password"]
NEEDED, CODE_PAGE = "/firm/sign-in/needed/", "/sign-in/code/"


def passkey_of(owner: User) -> Passkey:
    return Passkey.objects.create(
        user=owner,
        name="My phone",
        host="testserver",
        credential_id="a",
        credential=b"b",
        made_at=timezone.now(),
    )


def test_the_password_is_typed_again_before_a_device_is_asked_to_make_one(signed_in: Client) -> None:
    typed = {"name": "My phone", "own_password": "a guess"}
    assert signed_in.post(reverse("passkey-new"), typed).status_code == 422
    assert signed_in.get(reverse("passkey-new-options")).status_code == 409
    page = signed_in.post(reverse("passkey-new"), {**typed, "own_password": PASSWORD})
    assert 'data-passkey="new"' in page.content.decode()
    options = signed_in.get(reverse("passkey-new-options")).json()
    assert options["rp"]["id"] == "testserver"
    selection = options["authenticatorSelection"]
    assert (selection["residentKey"], selection["userVerification"]) == ("required", "required")
    signed_in.post(reverse("passkey-new"), {"credential": "{}"})
    assert not Passkey.objects.exists()


@pytest.mark.parametrize(
    "answer",
    ["", "[]", "{}", "nonsense", '{"id": "a"}', json.dumps({"id": "a", "rawId": "a", "response": {}})],
)
def test_what_no_device_signed_opens_nothing_and_is_refused_in_words(
    client: Client, owner: User, answer: str
) -> None:
    passkey_of(owner)
    assert client.get(reverse("passkey-options")).json()["userVerification"] == "required"
    refused = client.post(reverse("sign-in-passkey"), {"credential": answer}, follow=True)
    assert "That passkey wasn&#x27;t taken" in refused.content.decode()
    assert not Device.objects.filter(user=owner).exists()


def test_whoever_has_a_passkey_is_not_let_in_by_his_password_alone(client: Client, owner: User) -> None:
    passkey_of(owner)
    code = new_recovery_codes(owner)[0]
    assert client.post("/sign-in/", TYPED)["Location"] == CODE_PAGE
    assert 'data-passkey="use"' in client.get(CODE_PAGE).content.decode()
    assert client.get("/").status_code == 302
    assert client.post(CODE_PAGE, {"code": code}).status_code == 302
    assert client.get("/").status_code == 200


def test_a_passkey_is_removed_by_its_owner_with_the_password_and_takes_its_codes_along(
    signed_in: Client, owner: User
) -> None:
    other = passkey_of(User.objects.create_user("sam"))
    assert signed_in.get(reverse("passkey-remove", args=[other.pk])).status_code == 404
    other.delete()
    mine = passkey_of(owner)
    new_recovery_codes(owner)
    page = reverse("passkey-remove", args=[mine.pk])
    assert signed_in.post(page, {"own_password": "a guess"}).status_code == 422
    assert signed_in.post(page, {"own_password": PASSWORD}).status_code == 302
    assert not Passkey.objects.exists()
    assert not RecoveryCode.objects.exists()
    assert SignInEvent.objects.filter(kind="passkey gone").count() == 1


def test_a_firm_that_requires_a_second_step_opens_nothing_else_before_it_is_added(
    signed_in: Client, owner: User
) -> None:
    rule = reverse("second-step-required")
    assert signed_in.post(rule, {"required": "on", "own_password": "a guess"}).status_code == 422
    assert signed_in.post(rule, {"required": "on", "own_password": PASSWORD}).status_code == 302
    assert signed_in.get("/").status_code == 200  # from the next sign-in
    other = Client()
    assert other.post("/sign-in/", TYPED)["Location"] == NEEDED
    for page in ("/", "/firm/", reverse("second-step-required"), "/backup/"):
        assert other.get(page)["Location"] == NEEDED
    assert "Add a second step" in other.get(NEEDED).content.decode()
    assert other.get(reverse("second-step-on")).status_code == 200
    passkey_of(owner)  # added on another device
    other.get(NEEDED)
    assert other.get("/").status_code == 200


def test_one_is_offered_at_the_first_sign_in_where_others_reach_the_site(
    owner: User, settings: Settings
) -> None:
    at_home = Client()
    assert at_home.post("/sign-in/", TYPED)["Location"] == "/"
    settings.HTTPS = True
    assert Client().post("/sign-in/", TYPED)["Location"] == NEEDED
    assert Client().post("/sign-in/", TYPED)["Location"] == "/"
    assert SignInRules.objects.get().offered_at is not None


@pytest.mark.parametrize(("days", "status"), [(29, 200), (31, 302)])
def test_a_sign_in_ends_after_thirty_days_however_often_he_is_here(
    client: Client, owner: User, days: int, status: int
) -> None:
    client.post("/sign-in/", TYPED)
    session = client.session
    began = (timezone.now() - timedelta(days=days)).isoformat()
    session["came_from"] = {**session["came_from"], "at": began}
    session.save()
    assert client.get("/").status_code == status


def test_a_sign_in_ends_after_two_weeks_without_a_visit(client: Client, owner: User) -> None:
    client.post("/sign-in/", TYPED)
    lasts = Device.objects.get(user=owner).expire_date - timezone.now()
    assert timedelta(days=13, hours=23) < lasts <= timedelta(days=14)
    Device.objects.update(expire_date=timezone.now())
    assert client.get("/").status_code == 302
