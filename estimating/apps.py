"""The app: installs the triggers of the write protection after migrations, and has checks look for them."""

from typing import Any

from django.apps import AppConfig
from django.core.checks import Tags, register
from django.db import connections
from django.db.models.signals import post_migrate


class EstimatingConfig(AppConfig):
    name = "estimating"

    def ready(self) -> None:
        # Both know the models, which aren't loaded yet when this file is.
        from estimating.documents import write_protection
        from estimating.documents.checks import check_triggers

        def install_triggers(using: str, **kwargs: Any) -> None:
            write_protection.install_triggers(connections[using])

        post_migrate.connect(install_triggers, sender=self, weak=False, dispatch_uid="write protection")
        register(check_triggers, Tags.database)
