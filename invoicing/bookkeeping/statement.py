"""A client's statement of account, read from the database."""

from datetime import date
from typing import Any

from catalog.models import Firm
from estimating.estimates.snapshots import client_party, firm_party
from estimating.models import Client
from invoicing.ledger.accounts import read_books
from invoicing.snapshots.statement import StatementHeader, statement_snapshot


def client_statement(client: Client, firm: Firm, since: date, until: date, today: date) -> dict[str, Any]:
    """Return the snapshot of a client's statement of a period, both days in it, to today at the latest."""
    head = StatementHeader(
        firm=firm_party(firm),
        client=client_party(client),
        since=since,
        until=min(until, today),
        paper_size=firm.paper_size,
    )
    return statement_snapshot(head, read_books(client).entries.get(client.pk, ()))
