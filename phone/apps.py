"""The app of the phone."""

from django.apps import AppConfig


class PhoneConfig(AppConfig):
    name = "phone"
