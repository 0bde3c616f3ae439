"""The app: billing and money in. It registers here what documents and pages of estimating ask of billing."""

from django.apps import AppConfig


class InvoicingConfig(AppConfig):
    name = "invoicing"

    def ready(self) -> None:
        # These know the models, which aren't loaded yet when this file is.
        from estimating.documents import billing_hooks, write_protection
        from invoicing.billing_hooks import InvoicingHooks
        from invoicing.models import Billed, Payment, PaymentFor, Reminder

        billing_hooks.register(InvoicingHooks())
        write_protection.protect(Billed, Payment, PaymentFor, Reminder)
