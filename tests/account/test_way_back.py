"""The way back on a machine that can't mail."""

from io import StringIO

import pytest
from django.contrib.auth.models import User
from django.core.management import CommandError, call_command
from django.test import Client
from django.utils import timezone

from account.models import SecondStep

pytestmark = pytest.mark.django_db


def test_the_command_prints_a_way_to_a_new_password_and_leaves_the_second_step(
    owner: User, client: Client
) -> None:
    SecondStep.objects.create(user=owner, secret="A", begun_at=timezone.now())
    out = StringIO()
    call_command("way_back", "pat", stdout=out)
    path = out.getvalue().splitlines()[-1]
    assert client.get(path, follow=True).context["validlink"]
    assert SecondStep.objects.exists()
    call_command("way_back", "pat", "--without-phone", stdout=out)
    assert not SecondStep.objects.exists()


def test_a_wrong_name_is_answered_with_the_right_ones(owner: User) -> None:
    with pytest.raises(CommandError, match="There is: pat."):
        call_command("way_back", "bat")
