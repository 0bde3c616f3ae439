"""What is typed of published wages: one by one, or the rows of a file of the Bureau of Labor Statistics."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from catalog.fields.form import PriceField
from catalog.forms.model_form import set_plain_messages
from catalog.models import Wage
from catalog.price_lists.any_file import read_table
from catalog.price_lists.csv_file import MOST_BYTES, UnreadablePriceList
from catalog.price_lists.wages import MOST, OCCUPATIONS, PublishedWage, UnreadableWages, read_wages


class _MonthForm(forms.Form):
    month = forms.CharField(label="Month of the figures", max_length=20, help_text="Such as May 2025.")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)

    def keep(self, wage: PublishedWage) -> None:
        """Keep a wage; one of the same occupation in the same area is replaced by it."""
        values = {"title": wage.title, "month": self.cleaned_data["month"]}
        figures = {"median": wage.median, "low": wage.low, "high": wage.high}
        Wage.objects.update_or_create(area=wage.area, code=wage.code, defaults=values | figures)


class WageForm(_MonthForm):
    """The wages of one occupation in an area."""

    code = forms.ChoiceField(
        label="Occupation", choices=[(code, f"{title} ({code})") for code, title in OCCUPATIONS.items()]
    )
    area = forms.CharField(label="Area", max_length=120, help_text="As it is published.")
    median = PriceField(label="Median, an hour")
    low = PriceField(label="One in ten is paid less than", required=False)
    high = PriceField(label="One in ten is paid more than", required=False)
    field_order = ("code", "area", "month", "median", "low", "high")

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        low, median, high = (cleaned.get(name) for name in ("low", "median", "high"))
        for name, wage in (("low", low), ("median", median), ("high", high)):
            if wage is not None and not 0 < wage < MOST:
                self.add_error(name, "That is no wage of an hour. Type one such as 27.40.")
        if low is not None and median is not None and low > median:
            self.add_error("low", "That is more than the median: look it up again.")
        if high is not None and median is not None and high < median:
            self.add_error("high", "That is less than the median: look it up again.")
        return cleaned

    def save(self) -> None:
        typed = self.cleaned_data
        figures = (typed["median"], typed.get("low"), typed.get("high"))
        self.keep(PublishedWage(typed["area"], typed["code"], OCCUPATIONS[typed["code"]], *figures))


class WageRowsForm(_MonthForm):
    """Rows of a published table, pasted or in a file."""

    pasted = forms.CharField(
        label="Rows of your area, with the line of headings",
        required=False,
        max_length=200_000,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 5}),
        help_text="Copied from the spreadsheet, with its columns AREA_TITLE, OCC_CODE and H_MEDIAN at least.",
    )
    file = forms.FileField(
        label="Or a file with those rows, CSV or XLSX",
        required=False,
        widget=forms.FileInput(attrs={"accept": ".csv,.txt,.xlsx"}),
    )
    field_order = ("pasted", "file", "month")

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        upload, pasted = cleaned.get("file"), cleaned.get("pasted") or ""
        if bool(upload) == bool(pasted.strip()):
            raise ValidationError("Choose a file or paste rows: one of the two.")
        try:
            table = read_table(upload.read(MOST_BYTES + 1) if upload else pasted.encode())
            cleaned["wages"] = read_wages(table)
        except (UnreadablePriceList, UnreadableWages) as error:
            self.add_error("file" if upload else "pasted", str(error))
        return cleaned

    def save(self) -> int:
        """Keep the wages, and return how many there are."""
        wages: list[PublishedWage] = self.cleaned_data["wages"]
        for wage in wages:
            self.keep(wage)
        return len(wages)
