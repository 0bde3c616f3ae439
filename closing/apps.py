"""The app: punch lists and the end of jobs."""

from django.apps import AppConfig


class ClosingConfig(AppConfig):
    name = "closing"
