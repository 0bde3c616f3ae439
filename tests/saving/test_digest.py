"""What is kept of a form that was saved tells nothing of what was typed in it."""

from django.test import RequestFactory
from pytest_django import Settings

from saving.once import _digest


def test_the_digest_of_a_password_is_of_no_use_without_the_sites_secret(settings: Settings) -> None:
    def digest() -> str:
        return _digest(RequestFactory().post("/password/", {"new_password1": "a tape and a pencil"}))

    here = digest()
    assert digest() == here
    settings.SECRET_KEY = "another site's"
    assert digest() != here
