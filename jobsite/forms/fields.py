"""Fields of what is typed on site: time worked, dollars that may be none of ours, a day that was."""

import unicodedata
from datetime import date, timedelta
from decimal import Decimal

from django import forms
from django.core.exceptions import ValidationError

from catalog.fields.form import EntryField, PriceField
from catalog.forms.model_form import DATE_ATTRS, reading_attrs
from catalog.measures.hours import TimeWorked, parse_time_worked
from estimating.plain_text import day_in_words

LONGEST_AGO = timedelta(days=3660)


class TimeWorkedField(EntryField):
    """Hours or the times of a day, as `TimeWorked`."""

    inputmode = ""  # keypads for decimals have neither colon nor comma

    def widget_attrs(self, widget: forms.Widget) -> dict[str, object]:
        return {**super().widget_attrs(widget), **reading_attrs("hours-typed")}

    def read(self, text: str) -> TimeWorked:
        return parse_time_worked(text)


class PaidField(PriceField):
    """Dollars and cents that were paid; an amount in another currency is refused, not read as dollars."""

    def read(self, text: str) -> Decimal:
        signs = {sign for sign in text if unicodedata.category(sign) == "Sc"} - {"$"}
        letters = "".join(letter for letter in text if letter.isalpha()).upper()
        if signs or (len(letters) == 3 and letters != "USD"):
            raise ValueError(
                f"“{text.strip()[:40]}” isn't in dollars. "
                "Type what it came to in dollars, as your card shows it."
            )
        return super().read(text.upper().replace("USD", ""))


class PastDayField(forms.DateField):
    """A day that isn't to come. Give it `today`."""

    def __init__(self, **options: object) -> None:
        self.today: date | None = None
        super().__init__(widget=forms.DateInput(attrs=DATE_ATTRS, format="%Y-%m-%d"), **options)  # type: ignore[arg-type]  # Django's own options

    def clean(self, value: object) -> date | None:
        day: date | None = super().clean(value)
        if day and self.today and day > self.today:
            raise ValidationError(f"{day_in_words(day)} is still to come. Enter what is done.")
        if day and self.today and day < self.today - LONGEST_AGO:
            raise ValidationError(f"{day_in_words(day)} is over ten years ago. Check the year.")
        return day
