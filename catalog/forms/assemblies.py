"""Forms of an assembly itself, of what goes with it and before it, and of a kit."""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q

from catalog.assemblies.cycles import closed_loop, successors
from catalog.fields.form import LengthField
from catalog.forms.materials import SHORT
from catalog.forms.model_form import ModelForm, offer_choices, offer_rows, set_plain_messages
from catalog.forms.named import NamedForm
from catalog.measures.room_measures import MEASURES, SHEET_MEASURES
from catalog.models import Assembly, Companion, Kit, KitLine, Material, Precedence
from catalog.models.assembly import MEASURE_CHOICES, PLAN_MEASURE_CHOICES


class AssemblyForm(NamedForm[Assembly]):
    """An assembly without its components."""

    measure = forms.ChoiceField(
        label="Priced by",
        choices=[
            ("", "Choose a measure"),
            *((code, label) for code, label in MEASURE_CHOICES if code not in SHEET_MEASURES),
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
            "plan_measure",
            "purpose",
            "scope",
            "caution",
            "deduct_material",
            "deduct_labor",
            "board",
            "tile_joint_nm",
            "tile_offset",
            "tile_pattern",
            "tile_spare_percent",
            "tile_offcuts",
            "source",
        )
        widgets = {"scope": forms.Textarea(attrs={"rows": 4}), "caution": SHORT, "source": SHORT}
        labels = {
            "tile_offset": "Offset of each course of tile",
            "tile_pattern": "Pattern of the tile",
            "deduct_material": "Doors and windows, for material",
            "deduct_labor": "For labor",
        }
        help_texts = {
            "plan_measure": "Only for work priced by an area or a length that is entered by hand: the rooms "
            "give it, where their plan has it and nothing is typed.",
            "tile_spare_percent": "For breakage and later repairs, where tile is bought as it is laid. 5 is "
            "what Washington State University's standard 09 30 00 asks to be left over.",
            "tile_pattern": "The offset counts in courses along the walls alone. Other patterns begin in the "
            "middle, and take longer to set: look at the hours, too.",
            "tile_offcuts": "A cut tile then gives two pieces at most, each with an edge from the factory.",
            "purpose": "Such as: paint the walls. Work with the same words here stands for this one where an "
            "estimate would ask for it. May be left empty.",
            "scope": "What is done, in words that the client reads on the estimate.",
            "caution": "Printed on the estimate, such as what a licensed trade must do. A line that begins "
            "with “At work: ” is shown to you alone.",
            "deduct_material": "Whether openings are deducted from the walls.",
            "board": "Only for work that lays sheets, so that sheets, joints and screws are counted.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_sheets = Q(sheet_length_nm__isnull=False, retired=False) | Q(pk=self.instance.board_id)
        offer_rows(self, "board", Material.objects.filter(in_sheets), "It lays no sheets")
        offer_choices(self, "plan_measure", [("", "Nothing"), *PLAN_MEASURE_CHOICES])
        offer_choices(self, "tile_offset", [("", "Not said"), *Assembly.TileOffset.choices])

    def clean_measure(self) -> str:
        """Refuse a measure of another unit where rates are typed against the unit."""
        measure: str = self.cleaned_data["measure"]
        was = self.instance.measure
        if self.instance.pk and MEASURES[measure].unit != MEASURES[was].unit and self._is_counted():
            raise ValidationError(
                f"Its parts are typed against {MEASURES[was].label}, in {MEASURES[was].unit}: a measure in "
                f"{MEASURES[measure].unit} doesn't fit. Take its parts out first, or make a new assembly."
            )
        return measure

    def _is_counted(self) -> bool:
        return self.instance.components.filter(scales_with="").exists() or self.instance.used_in.exists()


class CompanionForm(ModelForm[Companion]):
    """An assembly that usually goes with this one."""

    class Meta:
        model = Companion
        fields = ("companion", "reason")
        labels = {"companion": "Goes with it", "reason": "Why"}
        help_texts = {"reason": "Such as: tile needs a floor that doesn't move."}

    def __init__(self, data: Mapping[str, str] | None, *, assembly: Assembly) -> None:
        super().__init__(data, prefix="companion")
        self.instance.assembly = assembly
        set_plain_messages(self.fields)
        others = Assembly.objects.offered().exclude(pk=assembly.pk).exclude(asked_by__assembly=assembly)
        offer_rows(self, "companion", others, "Choose an assembly")


class PrecedenceForm(ModelForm[Precedence]):
    """An assembly that must be done before this one, where a job has both."""

    class Meta:
        model = Precedence
        fields = ("earlier", "reason")
        labels = {"earlier": "Done before it", "reason": "Why"}
        help_texts = {"reason": "Such as: bare board takes paint unevenly."}

    def __init__(self, data: Mapping[str, str] | None, *, assembly: Assembly) -> None:
        super().__init__(data, prefix="before")
        self.instance.assembly = assembly
        set_plain_messages(self.fields)
        others = Assembly.objects.offered().exclude(pk=assembly.pk).exclude(awaited_by__assembly=assembly)
        offer_rows(self, "earlier", others, "Choose an assembly")

    def clean_earlier(self) -> Assembly:
        """Refuse an assembly that, directly or through others, waits for this one."""
        earlier: Assembly = self.cleaned_data["earlier"]
        waiting = self.instance.assembly
        waits_for = successors(Precedence.objects.values_list("assembly_id", "earlier_id"))
        if loop := closed_loop(waits_for, waiting.pk, earlier.pk):
            names = Assembly.objects.in_bulk(set(loop))
            raise ValidationError(
                f"Then it would wait for itself: {' after '.join(names[pk].name for pk in loop)}."
            )
        return earlier


class KitForm(NamedForm[Kit]):
    """The name of a kit."""

    class Meta:
        model = Kit
        fields = ("name",)
        help_texts = {"name": "Such as Kitchen floor: everything from demolition to base trim."}


class KitLineForm(ModelForm[KitLine]):
    """An assembly added to a kit."""

    class Meta:
        model = KitLine
        fields = ("assembly",)
        labels = {"assembly": "Add an assembly"}

    def __init__(self, data: Mapping[str, str] | None, *, kit: Kit) -> None:
        super().__init__(data, prefix="line")
        self.instance.kit = kit
        set_plain_messages(self.fields)
        others = Assembly.objects.offered().exclude(in_kits__kit=kit)
        offer_rows(self, "assembly", others, "Choose an assembly")
