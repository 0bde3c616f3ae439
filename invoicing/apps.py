"""The app: billing and money in. What papers of estimating show of it is put into their slots here."""

from django.apps import AppConfig


class InvoicingConfig(AppConfig):
    name = "invoicing"

    def ready(self) -> None:
        # It knows the models, which aren't loaded yet when this file is.
        from estimating import demo
        from estimating.documents import billing_hooks, write_protection
        from estimating.documents.history import BESIDE
        from estimating.documents.pdf import INSIDE
        from estimating.progress import billing_hook
        from estimating.verification.documents import FURTHER
        from invoicing.billing_step import next_steps
        from invoicing.demo import add_plan
        from invoicing.invoices.einvoice_attachment import xml_inside
        from invoicing.invoices.lists import beside_bill, stands_in_words
        from invoicing.invoices.verification import bill_faults
        from invoicing.models import Billed, Payment, PaymentFor, Reminder
        from invoicing.payment_plan import snapshots

        write_protection.guard(Billed, Payment, PaymentFor, Reminder)
        INSIDE.update(invoice=xml_inside, credit_note=xml_inside)
        FURTHER.update(invoice=bill_faults, credit_note=bill_faults)
        BESIDE.update(invoice=beside_bill, credit_note=beside_bill)
        billing_hooks.ON_ESTIMATE[:] = [snapshots.estimate_on_plan]
        billing_hooks.ON_CHANGE[:] = [snapshots.change_on_plan]
        billing_hooks.SIGNED[:] = [snapshots.change_was_signed]
        billing_hooks.STANDS[:] = [stands_in_words]
        demo.WITH_JOB[:] = [add_plan]
        billing_hook.ASK[:] = [next_steps]
