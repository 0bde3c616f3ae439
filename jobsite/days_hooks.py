"""The answers of this app to what estimating asks of the plan of days."""

from datetime import date, timedelta

from estimating.contract.cancellation_rule import cancel_by
from estimating.documents.days_hooks import DaysHooks
from estimating.models import Estimate
from estimating.models.job import SigningPlace
from jobsite.days.inputs import read_inputs
from jobsite.days.plan import first_free_day


class PlannedDaysHooks(DaysHooks):
    """Each answer is a function of the package that knows the subject."""

    def first_day(self, estimate: Estimate, today: date) -> date | None:
        signed_by = estimate.valid_to
        at_ours = estimate.job.signing_place == SigningPlace.OURS
        last = signed_by if at_ours else cancel_by(signed_by)
        return first_free_day(read_inputs(today), last + timedelta(days=1))
