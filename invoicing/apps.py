"""The app: billing and money in. What papers of estimating show of it is put into their slots here."""

from django.apps import AppConfig


class InvoicingConfig(AppConfig):
    name = "invoicing"
