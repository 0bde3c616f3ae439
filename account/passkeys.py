"""Passkeys, looked at by `fido2`: a maker of security keys keeps it, and it needs `cryptography` alone.

A passkey is the only step of signing in: the device asks for finger, face or its own code (user verification
is required), and what it signs names this site's address. A challenge stands in a signed cookie and in the
passkey that answered it, so that an answer counts once; strangers leave no rows.
"""

import json
import struct
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from typing import Any

from cryptography.exceptions import InvalidSignature
from django.contrib.auth.models import User
from django.utils.crypto import salted_hmac
from fido2.server import Fido2Server
from fido2.utils import websafe_decode, websafe_encode
from fido2.webauthn import (
    AttestedCredentialData,
    AuthenticatorData,
    PublicKeyCredentialRpEntity,
    PublicKeyCredentialUserEntity,
    ResidentKeyRequirement,
    UserVerificationRequirement,
)

from account.models import Passkey

Options = dict[str, Any]
State = dict[str, Any]  # of a challenge, as the library wants it back

REFUSED = "That passkey wasn't taken. Try again, or sign in with your password."
_WRONG = (
    ValueError,
    KeyError,
    TypeError,
    AttributeError,
    IndexError,
    AssertionError,
    struct.error,
    InvalidSignature,
)


class PasskeyRefused(ValueError):
    """What a device sent doesn't count; the message says so in a plain sentence."""


class Site:
    """The site as the browser reaches it: passkeys are of one host, and count at one origin."""

    def __init__(self, scheme: str, host: str) -> None:
        self.host = host.rpartition(":")[0] if host.rpartition(":")[2].isdigit() else host
        self.origin = f"{scheme}://{host}"
        self._server = Fido2Server(
            PublicKeyCredentialRpEntity(name="Benchrule", id=self.host),
            verify_origin=lambda origin: origin == self.origin,
        )

    def begin_new(self, user: User) -> tuple[Options, State]:
        """Return what a device is asked to make a passkey with, and the state to check it by."""
        known = [_credential(passkey) for passkey in Passkey.objects.filter(user=user, host=self.host)]
        about = PublicKeyCredentialUserEntity(
            name=user.get_username(), id=_handle(user), display_name=user.get_username()
        )
        options, state = self._server.register_begin(
            about,
            known,
            resident_key_requirement=ResidentKeyRequirement.REQUIRED,
            user_verification=UserVerificationRequirement.REQUIRED,
        )
        return dict(options)["publicKey"], state

    def keep_new(self, user: User, state: State, answer: str, name: str, at: datetime) -> Passkey:
        """Keep the passkey that a device made. Raises PasskeyRefused."""
        with _plain_refusal():
            made = self._server.register_complete(state, json.loads(answer))
            assert made.credential_data is not None
            credential = made.credential_data
        return Passkey.objects.create(
            user=user,
            name=name,
            host=self.host,
            credential_id=websafe_encode(credential.credential_id),
            credential=bytes(credential),
            uses=made.counter,
            made_at=at,
        )

    def begin_use(self) -> tuple[Options, State]:
        """Return what a device is asked to sign, and the state to check it by."""
        options, state = self._server.authenticate_begin(
            user_verification=UserVerificationRequirement.REQUIRED
        )
        return dict(options)["publicKey"], state

    def use(self, state: State, answer: str, at: datetime) -> Passkey:
        """Return the passkey that signed the challenge, noted as used. Raises PasskeyRefused.

        A passkey that counts its uses and hasn't counted on was copied.
        """
        with _plain_refusal():
            said = json.loads(answer)
            passkey = Passkey.objects.select_related("user").get(
                credential_id=said["id"], host=self.host, user__is_active=True
            )
            self._server.authenticate_complete(state, [_credential(passkey)], said)
            uses = AuthenticatorData(websafe_decode(said["response"]["authenticatorData"])).counter
            if uses <= passkey.uses and (uses or passkey.uses):
                raise ValueError("It was copied.")
        unused = Passkey.objects.filter(pk=passkey.pk, uses=passkey.uses).exclude(
            last_challenge=state["challenge"]
        )
        if not unused.update(uses=uses, last_challenge=state["challenge"], used_at=at):
            raise PasskeyRefused(REFUSED)
        return passkey


@contextmanager
def _plain_refusal() -> Iterator[None]:
    """Turn whatever is wrong with what a browser sent into one sentence."""
    try:
        yield
    except (Passkey.DoesNotExist, *_WRONG) as error:
        raise PasskeyRefused(REFUSED) from error


def _credential(passkey: Passkey) -> AttestedCredentialData:
    return AttestedCredentialData(bytes(passkey.credential))


def _handle(user: User) -> bytes:
    """Return the name under which devices keep somebody: it says nothing of him."""
    return salted_hmac("account.passkey", f"{user.pk}", algorithm="sha256").digest()
