"""The app: it puts up the write protection after migrations, and starts what runs beside the pages."""

from typing import Any

from django.apps import AppConfig
from django.core.checks import Tags, register
from django.core.signals import request_started
from django.db import connections
from django.db.models.signals import post_migrate

from access.server import ending, resting, starting


class EstimatingConfig(AppConfig):
    name = "estimating"

    def ready(self) -> None:
        # All know the models, which aren't loaded yet when this file is.
        from estimating.client import outbox
        from estimating.documents import drawing_process, write_protection
        from estimating.documents.checks import check_triggers
        from saving.once import forget_cut_off

        def install_triggers(using: str, **kwargs: Any) -> None:
            write_protection.install_triggers(connections[using])

        post_migrate.connect(install_triggers, sender=self, weak=False, dispatch_uid="write protection")
        register(check_triggers, Tags.database)

        def start_beside_the_pages(rests: bool, **kwargs: Any) -> None:
            forget_cut_off()
            drawing_process.start(at_once=not rests)
            outbox.serve_pages()
            outbox.wake()

        def mail_waits(**kwargs: Any) -> bool:
            return outbox.waits()

        resting.connect(mail_waits, weak=False, dispatch_uid="mail waits")
        request_started.connect(outbox.serve_pages, dispatch_uid="mail beside the pages")
        ending.connect(outbox.end, dispatch_uid="mail ends")
        starting.connect(start_beside_the_pages, weak=False, dispatch_uid="beside the pages")
