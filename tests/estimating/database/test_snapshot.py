"""What reads as of one moment holds nobody up."""

import threading
from collections.abc import Iterator

import pytest
from django.db import connection, connections

from estimating.database.snapshot import reading_snapshot
from estimating.models import Client
from estimating.verification.documents import faults
from tests.estimating.issuing import issue_now, painted_floor
from tests.factories import make_client

pytestmark = pytest.mark.django_db(transaction=True)


def saved_meanwhile(name: str) -> bool:
    """Whether another connection can save a client within five seconds."""
    errors: list[BaseException] = []

    def save() -> None:
        try:
            make_client(name=name)
        except BaseException as error:
            errors.append(error)
        finally:
            connections.close_all()

    thread = threading.Thread(target=save)
    thread.start()
    thread.join(5)
    in_time = not thread.is_alive() and not errors
    return in_time


def test_a_save_goes_through_while_documents_are_verified_and_is_not_seen() -> None:
    issue_now(painted_floor())
    before = Client.objects.count()

    def all_faults() -> Iterator[str]:
        assert Client.objects.count() == before
        assert saved_meanwhile("Ann Verified")
        yield from faults()
        assert Client.objects.count() == before

    with reading_snapshot():
        assert list(all_faults()) == []
    assert Client.objects.count() == before + 1


def test_a_transaction_after_it_takes_the_write_lock_first_again() -> None:
    with reading_snapshot():
        assert Client.objects.count() == 0
    if connection.vendor == "sqlite":
        assert vars(connections["default"])["transaction_mode"] == "IMMEDIATE"


@pytest.mark.postgresql
def test_nothing_can_be_written_in_it() -> None:
    from django.db import InternalError

    with pytest.raises(InternalError, match="read-only"), reading_snapshot():
        make_client(name="Ann")
