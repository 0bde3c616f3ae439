"""The page of parts, for whoever changes the style sheet."""

import pytest
from django.contrib.auth.models import User
from django.test import Client, RequestFactory

from config.parts import parts


@pytest.mark.django_db
def test_it_shows_fields_in_error_and_is_no_address_of_the_product(
    owner: User, signed_in: Client, rf: RequestFactory
) -> None:
    assert signed_in.get("/dev/parts/").status_code == 404
    request = rf.get("/dev/parts/")
    request.user = owner
    text = parts(request).content.decode()
    assert 'class="errorlist"' in text
    assert 'aria-current="page"' in text
