"""Issuing invoices and credit notes."""
