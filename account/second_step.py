"""Codes of the second step: by time from a phone, or from a list on paper. Each works once."""

import hmac
import re
import secrets
from datetime import datetime

import pyotp
import segno
from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction
from django.utils.crypto import salted_hmac

from account.models import Passkey, RecoveryCode, SecondStep

SECONDS = 30  # a code's time, RFC 6238 section 5.2
CLOCKS_DIFFER = 1  # steps that a phone's clock may be off, either way
CODES, LETTERS = 10, "abcdefghjkmnpqrstuvwxyz23456789"  # none that is taken for another
HALF = 5


def new_secret() -> str:
    """Return a secret of 160 bits, as apps take it."""
    return pyotp.random_base32()


def qr_of(secret: str, username: str) -> str:
    """Return the drawing that an app reads, as SVG for a page."""
    address = pyotp.TOTP(secret).provisioning_uri(name=username, issuer_name="Benchrule")
    return segno.make(address, error="m", micro=False).svg_inline(
        scale=5, border=4, dark="#000", light="#fff", title="The code for your app", omitsize=False
    )


def step_of(secret: str, typed: str, at: datetime) -> int | None:
    """Return the step of time whose code was typed, None where it is none of now."""
    code, now = re.sub(r"\s", "", typed), int(at.timestamp()) // SECONDS
    made = pyotp.TOTP(secret)
    for step in range(now - CLOCKS_DIFFER, now + CLOCKS_DIFFER + 1):
        if hmac.compare_digest(made.generate_otp(step).encode(), code.encode()):
            return step
    return None


def is_on(user: AbstractBaseUser) -> bool:
    """Return whether somebody signs in with a second step."""
    return SecondStep.objects.filter(user_id=user.pk).exists()


def has_second(user: AbstractBaseUser) -> bool:
    """Return whether the password alone doesn't let somebody in: he has a second step, or a passkey."""
    return is_on(user) or Passkey.objects.filter(user_id=user.pk).exists()


def turn_on(user: AbstractBaseUser, secret: str, typed: str, at: datetime) -> list[str] | None:
    """Turn the second step on and return the recovery codes; None where the code typed isn't the secret's."""
    step = step_of(secret, typed, at)
    if step is None:
        return None
    with transaction.atomic():
        SecondStep.objects.create(user_id=user.pk, secret=secret, last_step=step, begun_at=at)
        return new_recovery_codes(user)


def turn_off(user: AbstractBaseUser) -> None:
    """Ask for no code of an app from now on; recovery codes stay for whoever has a passkey."""
    with transaction.atomic():
        SecondStep.objects.filter(user_id=user.pk).delete()
        if not has_second(user):
            RecoveryCode.objects.filter(user_id=user.pk).delete()


def remove_all(user: AbstractBaseUser) -> None:
    """Sign in with the password alone from now on."""
    with transaction.atomic():
        Passkey.objects.filter(user_id=user.pk).delete()
        turn_off(user)


def new_recovery_codes(user: AbstractBaseUser) -> list[str]:
    """Make recovery codes in the place of all that there were, and return them: this once."""
    codes = ["".join(secrets.choice(LETTERS) for _ in range(2 * HALF)) for _ in range(CODES)]
    with transaction.atomic():
        RecoveryCode.objects.filter(user_id=user.pk).delete()
        RecoveryCode.objects.bulk_create(
            RecoveryCode(user_id=user.pk, secret_sha256=_digest(user, code)) for code in codes
        )
    return [f"{code[:HALF]}-{code[HALF:]}" for code in codes]


def take_code(user: AbstractBaseUser, typed: str, at: datetime) -> str:
    """Use up a code: return "time" or "recovery" for which it was, "" where it is none or was used."""
    row = SecondStep.objects.filter(user_id=user.pk).first()
    if row and (step := step_of(row.secret, typed, at)) is not None:
        newer = SecondStep.objects.filter(pk=row.pk, secret=row.secret, last_step__lt=step)
        return "time" if newer.update(last_step=step) else ""
    code = re.sub(r"[\s-]", "", typed).lower()
    unused = RecoveryCode.objects.filter(user_id=user.pk, secret_sha256=_digest(user, code), used_at=None)
    return "recovery" if unused.update(used_at=at) else ""


def _digest(user: AbstractBaseUser, code: str) -> str:
    return salted_hmac("account.recovery", f"{user.pk}:{code}", algorithm="sha256").hexdigest()
