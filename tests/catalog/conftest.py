"""What tests of the catalog share."""

import pytest
from django.db import transaction
from pytest_django import DjangoDbBlocker

from catalog.models import Firm
from catalog.rows.values import CatalogSpecs
from catalog.starter.load import load


@pytest.fixture(scope="module")
def shipped(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> CatalogSpecs:
    """The shipped catalog as plain values; the database is left as it was."""
    with django_db_blocker.unblock(), transaction.atomic():
        load()
        specs = CatalogSpecs(Firm.current())
        transaction.set_rollback(True)
    return specs
