"""The form that takes a price list as a file."""

from datetime import date
from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile

from catalog.price_lists.csv_file import MOST_BYTES, PriceList, UnreadablePriceList, read_price_list


class PriceListForm(forms.Form):
    """A CSV file, read as a price list."""

    file = forms.FileField(
        label="The price list, a CSV file",
        widget=forms.FileInput(attrs={"accept": ".csv,text/csv"}),
        error_messages={
            "required": "Choose the file.",
            "empty": "This file is empty.",
            "invalid": "Choose the file again.",
            "missing": "Choose the file again.",
        },
    )

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today

    def clean_file(self) -> PriceList:
        upload: UploadedFile[bytes] = self.cleaned_data["file"]
        try:
            return read_price_list(upload.read(MOST_BYTES + 1), self.today)
        except UnreadablePriceList as error:
            raise forms.ValidationError(str(error)) from error
