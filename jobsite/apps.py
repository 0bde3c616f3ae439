"""What is set up as the site starts."""

from django.apps import AppConfig


class JobsiteConfig(AppConfig):
    name = "jobsite"

    def ready(self) -> None:
        # These know the models, which aren't loaded yet when this file is.
        from estimating.documents import days_hooks
        from jobsite.days_hooks import PlannedDaysHooks

        days_hooks.register(PlannedDaysHooks())
