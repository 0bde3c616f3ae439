"""The app: it notes where a session was signed in."""

from django.apps import AppConfig
from django.contrib.auth.signals import user_logged_in


class AccountConfig(AppConfig):
    name = "account"

    def ready(self) -> None:
        from account.sessions import note_where_from  # knows the models, which aren't loaded yet

        user_logged_in.connect(note_where_from, dispatch_uid="where from")
