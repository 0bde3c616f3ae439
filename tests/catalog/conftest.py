"""What tests of the catalog share."""

import pytest
from django.db import transaction
from pytest_django import DjangoDbBlocker

from catalog.models import Firm
from catalog.rows.values import CatalogReader
from catalog.starter.load import load


@pytest.fixture(scope="session")
def shipped(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> CatalogReader:
    """The shipped catalog as plain values; the database is left as it was."""
    with django_db_blocker.unblock(), transaction.atomic():
        load()
        reader = CatalogReader(Firm.current())
        transaction.set_rollback(True)
    return reader
