"""Mailed codes: above a sum that the firm sets, a document is signed with six digits from a mail.

A code is kept as an HMAC, lasts minutes and is tried a few times only.
"""

import secrets
from collections.abc import Collection
from dataclasses import replace
from datetime import date, datetime, timedelta
from decimal import Decimal

from django.db import transaction
from django.db.models import F, Q
from django.utils.crypto import constant_time_compare, salted_hmac

from catalog.models import Firm
from estimating.client import outbox
from estimating.client.mail import mail_code
from estimating.client.options import unlocked
from estimating.client.signing import Refused, Visit, is_to_be_signed, options_for, sums_for
from estimating.models import ClientLink, Document

LASTS, MOST_TRIES, NEW_AFTER = timedelta(minutes=15), 5, timedelta(minutes=1)


class CodeMissing(ValueError):
    """The code wasn't typed, or typed wrong; the message says what to do, beside the field of the code."""


def code_is_required(firm: Firm, total: Decimal) -> bool:
    """Return whether the firm asks for a mailed code before this sum is signed."""
    return firm.code_required_above is not None and total > firm.code_required_above.amount


def may_require_code(document: Document, firm: Firm, today: date) -> bool:
    """Return whether a code may be asked for: with every open option chosen, the sum requires one."""
    if not is_to_be_signed(document):
        return False
    positions = unlocked(options_for(document, today))
    return code_is_required(firm, sums_for(document, today, positions).total)


def check_code(visit: Visit, firm: Firm, positions: Collection[int], code: str) -> Visit:
    """Return the visit, with its code noted as typed where the sum with these options requires one.

    Where no code was typed, a new one is mailed. Raises CodeMissing until the right one is typed; Refused
    where no address is known for it; and OptionLocked.
    """
    link = visit.link
    total = sums_for(link.document, visit.today, positions).total
    if not code_is_required(firm, total):
        return visit
    if not link.email:
        raise Refused("A sum like this is signed with a mailed code, and no address of yours is known. Ask.")
    if not code:
        _mail_new_code(link, firm, visit.at)
        raise CodeMissing(
            f"A six-digit code is on its way to {link.email}. Type it here and sign again. If it isn't there "
            "in some minutes, please call us."
        )
    if not code_is_right(link, code, visit.at):
        raise CodeMissing("That isn't the code mailed last, or it is too old. Empty this for a new one.")
    return replace(visit, code_typed=True)


def _mail_new_code(link: ClientLink, firm: Firm, at: datetime) -> None:
    """Mail a new code at once, unless one was mailed a moment ago. Raises CodeMissing where that failed."""
    with transaction.atomic():
        code = new_code(link, at)
        if code is not None:
            mail_code(link, code, firm, at, until=at + LASTS)
    outbox.wake()
    newest = link.mails.filter(until__isnull=False).order_by("-pk").first()
    if newest and newest.fault:
        raise CodeMissing("The code couldn't be mailed. Please call us.")


def new_code(link: ClientLink, at: datetime) -> str | None:
    """Return a new six-digit code; None where the last one was mailed a moment ago and still counts."""
    code = f"{secrets.randbelow(10**6):06}"
    may_send = Q(code_sent_at=None) | Q(code_sent_at__lte=at - NEW_AFTER)
    sent = ClientLink.objects.filter(may_send, pk=link.pk).update(
        code_hash=_hash_of_code(link, code), code_sent_at=at, code_tries=0
    )
    return code if sent else None


def code_is_right(link: ClientLink, code: str, at: datetime) -> bool:
    """Return whether the code is the one mailed last, in time and within the tries. Every call is a try."""
    tried = ClientLink.objects.filter(
        pk=link.pk, code_sent_at__gt=at - LASTS, code_tries__lt=MOST_TRIES
    ).update(code_tries=F("code_tries") + 1)
    link.refresh_from_db(fields=["code_hash", "code_sent_at"])
    return bool(tried and constant_time_compare(link.code_hash, _hash_of_code(link, code)))


def _hash_of_code(link: ClientLink, code: str) -> str:
    return salted_hmac(f"code of link {link.pk}", code, algorithm="sha256").hexdigest()
