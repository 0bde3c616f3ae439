"""The app: billing and money in. It registers here what documents and pages of estimating ask of billing."""

from typing import Any

from django.apps import AppConfig

from access.server import starting


class InvoicingConfig(AppConfig):
    name = "invoicing"

    def ready(self) -> None:
        # These know the models, which aren't loaded yet when this file is.
        from estimating.documents import billing_hooks, write_protection
        from estimating.search import kinds
        from invoicing.billing_hooks import InvoicingHooks
        from invoicing.ledger.kept_sums import keep_what_is_missing
        from invoicing.models import Billed, Payment, PaymentFor, Reminder
        from invoicing.payments.search import PAYMENTS

        billing_hooks.register(InvoicingHooks())
        kinds.register(PAYMENTS)
        write_protection.protect(Billed, Payment, PaymentFor, Reminder)

        def keep_sums(**kwargs: Any) -> None:
            keep_what_is_missing()  # of what a release wrote that kept none, so that no page waits for it

        starting.connect(keep_sums, weak=False, dispatch_uid="kept sums")
