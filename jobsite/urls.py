"""URLs of the days, hours and receipts of jobs."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
