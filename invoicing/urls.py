"""Addresses of the plan of payments, invoices and money in."""

from django.urls import path

from invoicing.views.money import job_money

plan_urls: list = [
    path("jobs/<int:job_id>/money/", job_money, name="job-money"),
]
invoice_urls: list = []
money_urls: list = []

urlpatterns = [*plan_urls, *invoice_urls, *money_urls]
