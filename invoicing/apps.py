"""The app: billing and money in. What papers of estimating show of it is put into their slots here."""

from django.apps import AppConfig


class InvoicingConfig(AppConfig):
    name = "invoicing"

    def ready(self) -> None:
        # It knows the models, which aren't loaded yet when this file is.
        from estimating import demo, document_guard, money_next, payments_on_paper
        from estimating.document_lists import BESIDE
        from estimating.paper import INSIDE
        from estimating.verification import FURTHER
        from invoicing import plan_papers
        from invoicing.bill_lists import beside_bill, stands_in_words
        from invoicing.bill_verification import bill_faults
        from invoicing.demo import add_plan
        from invoicing.einvoice_file import xml_inside
        from invoicing.models import Billed, Payment, PaymentFor, Reminder
        from invoicing.next_step import next_steps

        document_guard.guard(Billed, Payment, PaymentFor, Reminder)
        INSIDE.update(invoice=xml_inside, credit_note=xml_inside)
        FURTHER.update(invoice=bill_faults, credit_note=bill_faults)
        BESIDE.update(invoice=beside_bill, credit_note=beside_bill)
        payments_on_paper.ON_ESTIMATE[:] = [plan_papers.estimate_on_plan]
        payments_on_paper.ON_CHANGE[:] = [plan_papers.change_on_plan]
        payments_on_paper.SIGNED[:] = [plan_papers.change_was_signed]
        payments_on_paper.STANDS[:] = [stands_in_words]
        demo.WITH_JOB[:] = [add_plan]
        money_next.ASK[:] = [next_steps]
