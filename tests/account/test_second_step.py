"""Codes of the second step: each works once, in its time."""

from datetime import UTC, datetime, timedelta

import pyotp
import pytest
from django.contrib.auth.models import User

from account.models import RecoveryCode, SecondStep
from account.second_step import CODES, new_recovery_codes, step_of, take_code, turn_on

# RFC 6238, appendix B, SHA-1: the secret "12345678901234567890" in base 32, and the last six of eight digits.
SECRET = "GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ"
PUBLISHED = {59: "287082", 1111111109: "081804", 1234567890: "005924", 2000000000: "279037"}
NOW = datetime(2026, 11, 28, 12, tzinfo=UTC)


@pytest.mark.parametrize("seconds", PUBLISHED)
def test_the_codes_are_those_of_the_standard(seconds: int) -> None:
    at = datetime.fromtimestamp(seconds, UTC)
    code = PUBLISHED[seconds]
    assert step_of(SECRET, f"{code[:3]} {code[3:]}", at) == seconds // 30
    assert step_of(SECRET, code, at + timedelta(seconds=30)) == seconds // 30
    assert step_of(SECRET, code, at + timedelta(seconds=60)) is None
    assert step_of(SECRET, "", at) is None


@pytest.mark.django_db
def test_a_code_works_once_and_none_before_it_afterwards(owner: User) -> None:
    code = pyotp.TOTP(SECRET).at(NOW)
    assert turn_on(owner, SECRET, "000000", NOW) is None
    assert turn_on(owner, SECRET, code, NOW)
    assert take_code(owner, code, NOW) == ""
    later = NOW + timedelta(seconds=30)
    assert take_code(owner, pyotp.TOTP(SECRET).at(later), later) == "time"
    assert [take_code(owner, pyotp.TOTP(SECRET).at(at), later) for at in (later, NOW)] == ["", ""]


@pytest.mark.django_db
def test_a_recovery_code_works_once_however_it_is_typed_and_is_kept_as_a_digest(owner: User) -> None:
    SecondStep.objects.create(user=owner, secret=SECRET, begun_at=NOW)
    first, second, *rest = new_recovery_codes(owner)
    assert len({first, second, *rest}) == CODES
    assert take_code(owner, first.upper().replace("-", " "), NOW) == "recovery"
    assert take_code(owner, first, NOW) == ""
    kept = {value for row in RecoveryCode.objects.values_list() for value in row}
    assert not kept & {second, second.replace("-", "")}
    new_recovery_codes(owner)
    assert take_code(owner, second, NOW) == ""
