"""The second step of signing in, who is signed in where, and what happened."""

from importlib import import_module

from django.conf import settings
from django.contrib.sessions.backends.base import SessionBase
from django.contrib.sessions.base_session import AbstractBaseSession
from django.db import models


class SecondStep(models.Model):
    """The secret that an app on his phone makes codes of; `last_step` is the newest one that was used."""

    user = models.OneToOneField(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="second_step"
    )
    secret = models.CharField(max_length=64)
    last_step = models.BigIntegerField(default=0)
    begun_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"second step of {self.user}"


class RecoveryCode(models.Model):
    """A code that stands in for the phone, once. Kept is its digest, keyed with the site's secret."""

    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="recovery_codes"
    )
    secret_sha256 = models.CharField(max_length=64)
    used_at = models.DateTimeField(null=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["user", "secret_sha256"], name="one_of_each_code")]

    def __str__(self) -> str:
        return f"recovery code of {self.user}"


class Passkey(models.Model):
    """A key that a device of his keeps, by which he signs in without a password.

    `host` is the name of the site that it works at; `uses` is what the device counted, 0 where it doesn't;
    `last_challenge` was answered last, and is answered once.
    """

    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="passkeys")
    name = models.CharField(max_length=60)
    host = models.CharField(max_length=253)
    credential_id = models.CharField(max_length=1400, unique=True)
    credential = models.BinaryField()
    uses = models.BigIntegerField(default=0)
    last_challenge = models.CharField(max_length=100, blank=True)
    made_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"passkey {self.name} of {self.user}"


class SignInRules(models.Model):
    """What the firm asks of everybody who signs in, one row; and when it was offered a second step."""

    second_step_required = models.BooleanField(default=False)
    offered_at = models.DateTimeField(null=True)

    def __str__(self) -> str:
        return "rules of signing in"

    @classmethod
    def current(cls) -> "SignInRules":
        """Return the row, made where there is none."""
        rules, _ = cls.objects.get_or_create(pk=1)
        return rules


class Device(AbstractBaseSession):
    """A session, with whose browser it is and where it came from. Without its row nobody is signed in."""

    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, null=True, related_name="devices"
    )
    browser = models.CharField(max_length=200, blank=True)
    address = models.CharField(max_length=45, blank=True)
    signed_in_at = models.DateTimeField(null=True)
    seen_at = models.DateTimeField(null=True)

    @classmethod
    def get_session_store_class(cls) -> type[SessionBase]:
        """Return what settings name."""
        return import_module(settings.SESSION_ENGINE).SessionStore  # type: ignore[no-any-return]


class SignInEvent(models.Model):
    """Something that happened to how somebody signs in."""

    class Kind(models.TextChoices):
        SIGNED_IN = "signed in", "Signed in"
        NEW_DEVICE = "new device", "Signed in on a device for the first time"
        REFUSED = "refused", "Wrong password or code"
        RECOVERED = "recovered", "Signed in with a recovery code"
        SECOND_ON = "second on", "Second step turned on"
        SECOND_OFF = "second off", "Second step turned off"
        PASSKEY = "passkey", "Passkey added"
        PASSKEY_GONE = "passkey gone", "Passkey removed"
        REQUIRED = "required", "Second step required of everybody"
        NOT_REQUIRED = "not required", "Second step no longer required"
        NEW_CODES = "new codes", "New recovery codes made"
        PASSWORD = "password", "Password changed"
        EMAIL = "email", "E-mail changed"
        WAY_BACK = "way back", "New password asked for"
        ENDED = "ended", "Signed out on another device"

    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="sign_in_events"
    )
    kind = models.CharField(max_length=20, choices=Kind.choices)
    at = models.DateTimeField(db_index=True)
    address = models.CharField(max_length=45, blank=True)
    browser = models.CharField(max_length=200, blank=True)

    def __str__(self) -> str:
        return f"{self.get_kind_display()}, {self.user}"
