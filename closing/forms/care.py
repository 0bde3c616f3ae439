"""What is typed of what was installed, and the papers of its maker."""

from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile

from catalog.forms.model_form import ModelForm, set_plain_messages
from closing.models import Installed
from estimating.client.uploads import PDF, UnreadableScan, clean_scan
from jobsite.forms.fields import PastDayField


class InstalledForm(ModelForm[Installed]):
    """What was installed of a material; of what isn't in the catalog, what it is."""

    on = PastDayField(label="Installed on", required=False)
    field_order = ("name", "color", "lot", "grout", "on", "says")

    class Meta:
        model = Installed
        fields = ("name", "color", "lot", "grout", "on", "says")
        help_texts = {
            "color": "Such as the name and number of a paint, or a cabinet finish.",
            "lot": "As the box or the can says, so that more of the same can be found.",
        }

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        day = self.fields["on"]
        assert isinstance(day, PastDayField)
        day.today = today
        if self.instance.material_id:
            del self.fields["name"]
        else:
            self.fields["name"].required = True
        set_plain_messages(self.fields)


class MaterialPaperForm(forms.Form):
    """A paper of a material's maker, as a PDF."""

    name = forms.CharField(label="What it is", max_length=80, help_text="Such as: care and cleaning.")
    file = forms.FileField(
        label="The PDF",
        widget=forms.FileInput(attrs={"accept": "application/pdf"}),
        help_text="At most 10 MB. It is only downloaded, never shown.",
        error_messages={"empty": "The file is empty. Download it from the maker again."},
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)

    def clean_file(self) -> bytes:
        file: UploadedFile[bytes] = self.cleaned_data["file"]
        if not file.read(5).startswith(b"%PDF-"):
            raise ValidationError("That isn't a PDF. Choose the maker's paper as a PDF.")
        file.seek(max((file.size or 0) - 2048, 0))
        if b"%%EOF" not in file.read():
            raise ValidationError("The PDF is cut off: its end is missing. Download it from the maker again.")
        file.seek(0)
        try:
            scan = clean_scan(file, file.size or 0)
        except UnreadableScan as error:
            raise ValidationError(str(error)) from error
        assert scan.content_type == PDF
        return scan.content
