"""The app: puts the guard of issued papers up after migrations, and has it looked at by checks."""

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
        from estimating.documents.checks import check_guard

        def put_guard_up(using: str, **more: Any) -> None:
            write_protection.put_up(connections[using])

        post_migrate.connect(put_guard_up, sender=self, weak=False, dispatch_uid="guard of issued papers")
        register(check_guard, Tags.database)
