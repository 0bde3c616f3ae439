"""The app: billing and money in. What papers of estimating show of it is put into their slots here."""

from django.apps import AppConfig


class InvoicingConfig(AppConfig):
    name = "invoicing"

    def ready(self) -> None:
        # It knows the models, which aren't loaded yet when this file is.
        from estimating import document_guard
        from invoicing.models import Payment, PaymentFor, Reminder

        document_guard.guard(Payment, PaymentFor, Reminder)
