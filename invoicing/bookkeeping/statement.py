"""A client's statement of account, read from the database, and issued to be sent."""

from collections.abc import Iterator, Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from catalog.models import Firm
from estimating.documents.issue import UnissuedDocument
from estimating.estimates.snapshots import client_party, firm_party
from estimating.models import Client, Document, Job
from invoicing.ledger.accounts import read_books
from invoicing.snapshots.statement import StatementHeader, statement_snapshot


def client_statement(
    client: Client, firm: Firm, since: date, until: date, today: date, job: Job | None = None
) -> dict[str, Any]:
    """Return the snapshot of a client's statement of a period, both days in it, to today at the latest.

    It is of the whole account; `job` is the one on whose page it will stand.
    """
    head = StatementHeader(
        firm=firm_party(firm),
        client=client_party(client),
        since=since,
        until=min(until, today),
        paper_size=firm.paper_size,
        **({"job": job.name} if job else {}),
    )
    return statement_snapshot(head, read_books(client).entries.get(client.pk, ()))


def statement_to_issue(job: Job, firm: Firm, since: date, until: date, today: date) -> UnissuedDocument:
    """Return the statement of the client of a job, to be issued and sent as any paper of that job."""
    snapshot = client_statement(job.client, firm, since, until, today, job)
    return UnissuedDocument(
        kind=Document.Kind.STATEMENT,
        job=job,
        snapshot=snapshot,
        basis={"rows": snapshot["rows"]},
        dated=date.fromisoformat(snapshot["dated"]),
        total=Decimal(snapshot["balance"]),
    )


def statement_faults(snapshot: Mapping[str, Any]) -> Iterator[str]:
    """Yield a plain sentence for each balance of an issued statement that its rows don't come to."""
    rows = snapshot["rows"]
    balance = Decimal(rows[0]["balance"])
    for row in rows:
        balance += Decimal(row["charge"] or 0) - Decimal(row["credit"] or 0)
        if Decimal(row["balance"]) != balance:
            yield f"its rows come to {balance} at “{row['says']}”, not to {row['balance']}."
    if Decimal(snapshot["total"]) != balance:
        yield f"its rows come to {balance}, not to its balance."
