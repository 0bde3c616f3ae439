"""The first and last day of a list or a file."""

from datetime import date
from typing import Any

from django import forms
from django.db.models import QuerySet

from catalog.forms.model_form import set_plain_messages
from estimating.models import Job
from invoicing.bookkeeping.csv_files import Span
from invoicing.forms.days import day_field
from invoicing.forms.payments import ClockForm
from invoicing.receivables.sales_tax import Period


class SpanForm(forms.Form):
    """A first and a last day, both counted."""

    since = day_field("From")
    until = day_field("To")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)

    def clean(self) -> dict[str, Any]:
        super().clean()
        cleaned = self.cleaned_data
        since, until = cleaned.get("since"), cleaned.get("until")
        if since and until and until < since:
            self.add_error("until", "The last day is before the first: turn them round.")
        if since and until and until.year - since.year > 20:
            self.add_error("since", "That is more than twenty years: choose a later first day.")
        return cleaned


class SendStatementForm(SpanForm, ClockForm):
    """The days of a statement, and the job on whose page it will stand."""

    job = forms.ModelChoiceField(
        queryset=Job.objects.none(),
        label="On the page of which job",
        empty_label=None,
    )

    def __init__(self, *args: Any, jobs: QuerySet[Job], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["job"]
        assert isinstance(field, forms.ModelChoiceField)
        field.queryset = jobs


class BooksForm(SpanForm):
    """A first and a last day, with the periods that sales tax is summed up by."""

    by = forms.ChoiceField(
        label="Sales tax by", choices=[(period.value, period.value.capitalize()) for period in Period]
    )

    def span(self) -> Span:
        """Return the days and the periods that were chosen."""
        typed = self.cleaned_data
        return Span(typed["since"], typed["until"], Period(typed["by"]))


def this_year(today: date) -> dict[str, Any]:
    """Return what the form begins with: from the first of January to today."""
    return {"since": today.replace(month=1, day=1), "until": today, "by": Period.QUARTER.value}
