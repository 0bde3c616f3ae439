"""What he types about an assembly itself, what goes with it, and about a bundle."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from catalog.assemblies.cycles import loop_made
from catalog.fields.form import LengthField
from catalog.forms.materials import SHORT
from catalog.forms.named import NamedForm, say_plainly
from catalog.measures.room_measures import MEASURES, SHEET_MEASURES
from catalog.models import Assembly, Bundle, BundleLine, Companion, Material, Precedence
from catalog.models.assembly import MEASURE_CHOICES


class AssemblyForm(NamedForm):
    measure = forms.ChoiceField(
        label="Scales with",
        choices=[
            ("", "Choose a measure"),
            *(each for each in MEASURE_CHOICES if each[0] not in SHEET_MEASURES),
        ],
        help_text="The measure of a room that makes this work larger or smaller.",
    )
    tile_joint_nm = LengthField(
        label="Joint between tiles",
        required=False,
        bare="in",
        allow_zero=True,
        help_text="Only for work that sets tile: the drawing of the tile begins with it.",
    )

    class Meta:
        model = Assembly
        fields = (
            "name",
            "phase",
            "measure",
            "purpose",
            "scope",
            "caution",
            "deduct_material",
            "deduct_labor",
            "board",
            "tile_joint_nm",
            "tile_offset",
            "source",
        )
        widgets = {"scope": forms.Textarea(attrs={"rows": 4}), "caution": SHORT, "source": SHORT}
        labels = {
            "tile_offset": "Each course of tile moved on by",
            "deduct_material": "Doors and windows, for material",
            "deduct_labor": "For labor",
        }
        help_texts = {
            "purpose": "Such as: paint the walls. Work with the same words here stands for this one where an "
            "estimate would ask for it. May be left empty.",
            "scope": "What is done, in words that the client reads on the estimate.",
            "caution": "Printed on the estimate, such as what a licensed trade must do. A line that begins "
            "with “At work: ” is shown to you alone.",
            "deduct_material": "Whether openings are taken off the walls.",
            "board": "Only for work that lays sheets, so that sheets, joints and screws are counted.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_sheets = Material.objects.filter(sheet_length_nm__isnull=False, retired=False)
        self.fields["board"].queryset = in_sheets | Material.objects.filter(pk=self.instance.board_id)
        self.fields["board"].empty_label = "It lays no sheets"
        self.fields["tile_offset"].choices = [("", "Not said"), *Assembly.TileOffset.choices]

    def clean_measure(self) -> str:
        """The measure may go to another of the same unit; what is typed against the unit stays true."""
        measure, was = self.cleaned_data["measure"], self.instance.measure
        if self.instance.pk and MEASURES[measure].unit != MEASURES[was].unit and self._is_counted():
            raise ValidationError(
                f"Its parts are typed against {MEASURES[was].label}, in {MEASURES[was].unit}: a measure in "
                f"{MEASURES[measure].unit} doesn't fit. Take its parts out first, or make a new assembly."
            )
        return measure

    def _is_counted(self) -> bool:
        return self.instance.components.filter(scales_with="").exists() or self.instance.used_in.exists()


class CompanionForm(forms.ModelForm):
    """An assembly that usually goes with this one."""

    class Meta:
        model = Companion
        fields = ("companion", "reason")
        labels = {"companion": "Goes with it", "reason": "Why"}
        help_texts = {"reason": "Such as: tile needs a floor that doesn't move."}

    def __init__(self, *args: Any, assembly: Assembly, **kwargs: Any) -> None:
        super().__init__(*args, prefix="companion", **kwargs)
        self.instance.assembly = assembly
        say_plainly(self.fields)
        others = Assembly.objects.offered().exclude(pk=assembly.pk).exclude(asked_by__assembly=assembly)
        self.fields["companion"].queryset = others
        self.fields["companion"].empty_label = "Choose an assembly"


class PrecedenceForm(forms.ModelForm):
    """An assembly that must be done before this one, where a job has both."""

    class Meta:
        model = Precedence
        fields = ("earlier", "reason")
        labels = {"earlier": "Done before it", "reason": "Why"}
        help_texts = {"reason": "Such as: bare board takes paint unevenly."}

    def __init__(self, *args: Any, assembly: Assembly, **kwargs: Any) -> None:
        super().__init__(*args, prefix="before", **kwargs)
        self.instance.assembly = assembly
        say_plainly(self.fields)
        others = Assembly.objects.offered().exclude(pk=assembly.pk).exclude(awaited_by__assembly=assembly)
        self.fields["earlier"].queryset = others
        self.fields["earlier"].empty_label = "Choose an assembly"

    def clean_earlier(self) -> Assembly:
        earlier, waiting = self.cleaned_data["earlier"], self.instance.assembly
        waits_for: dict[int, list[int]] = {}
        for later, first in Precedence.objects.values_list("assembly_id", "earlier_id"):
            waits_for.setdefault(later, []).append(first)
        if loop := loop_made(waits_for, waiting.pk, earlier.pk):
            names = Assembly.objects.in_bulk(set(loop))
            raise ValidationError(
                f"Then it would wait for itself: {' after '.join(names[pk].name for pk in loop)}."
            )
        return earlier


class BundleForm(NamedForm):
    class Meta:
        model = Bundle
        fields = ("name",)
        help_texts = {"name": "Such as Kitchen floor: everything from demolition to base trim."}


class BundleLineForm(forms.ModelForm):
    class Meta:
        model = BundleLine
        fields = ("assembly",)
        labels = {"assembly": "Add an assembly"}

    def __init__(self, *args: Any, bundle: Bundle, **kwargs: Any) -> None:
        super().__init__(*args, prefix="line", **kwargs)
        self.instance.bundle = bundle
        say_plainly(self.fields)
        self.fields["assembly"].queryset = Assembly.objects.offered().exclude(bundled_in__bundle=bundle)
        self.fields["assembly"].empty_label = "Choose an assembly"
