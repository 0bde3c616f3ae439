"""The forms of boards and tile: where they start, how tile is set, and the rules that the firm follows."""

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from catalog.fields.form import CountField, LengthField, NumberField
from catalog.forms.model_form import ModelForm, offer_choices, set_plain_messages
from catalog.measures.lengths import format_length
from catalog.models import Assembly
from estimating.boards.description import RULE_WORDS
from estimating.boards.layout_request import LayoutChoice, LayoutRequest
from estimating.boards.layouts import Boards
from estimating.boards.tile import TilePreferences, TileRules
from estimating.models import BoardChoice, BoardRules
from estimating.sheet_layout.rules import CannotLay, SheetRules, check_rules

RIPPED = "Such as {} for a board ripped in half. Leave empty to have it chosen."


class BoardChoiceForm(ModelForm[BoardChoice]):
    """Corner, direction, first course and first piece of one board on one surface, and extra sheets."""

    first_width_nm = LengthField(
        label="Width of the first course",
        required=False,
        bare="in",
        help_text=RIPPED.format(18),
    )
    first_piece_nm = LengthField(
        label="Length of the first piece",
        required=False,
        bare="in",
        help_text="Of the first course, from the corner you start in. Leave empty to have it chosen.",
    )
    extra = CountField(
        label="Sheets bought besides", required=False, most=50, help_text="For the one that breaks."
    )

    class Meta:
        model = BoardChoice
        fields = ("corner", "along", "first_width_nm", "first_piece_nm", "extra")

    def __init__(
        self, *args: Any, layout_request: LayoutRequest, boards: Boards, metric: bool = False, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.layout_request, self.boards, self.metric = layout_request, boards, metric
        for name, none_chosen, choices in (
            ("corner", "The usual one", BoardChoice.Corner.choices),
            ("along", "Whichever is best", BoardChoice.Along.choices),
        ):
            self.fields[name] = forms.ChoiceField(
                label=str(self.fields[name].label).capitalize(),
                required=False,
                widget=forms.RadioSelect,
                choices=[("", none_chosen), *choices],
            )
        if not layout_request.rules.may_turn:
            self.fields["along"].help_text = "These boards aren't turned: their length runs across."
            offer_choices(self, "along", [("", "Across the drawing")])
        if metric:
            self.fields["first_width_nm"].help_text = RIPPED.format(45)
            for field in self.fields.values():
                if isinstance(field, LengthField):
                    field.use_metric("cm")
        set_plain_messages(self.fields)

    def clean_extra(self) -> int:
        """Return the extra sheets, with one more where the button for that was pressed."""
        return min(50, (self.cleaned_data["extra"] or 0) + ("one_more" in self.data))

    def clean_first_width_nm(self) -> int | None:
        return self._at_most("first_width_nm", self.layout_request.sheet.width_nm, "the width of a sheet")

    def clean_first_piece_nm(self) -> int | None:
        return self._at_most("first_piece_nm", self.layout_request.sheet.length_nm, "the length of a sheet")

    def _at_most(self, name: str, most_nm: int, limit: str) -> int | None:
        length_nm: int | None = self.cleaned_data[name]
        if length_nm is not None and length_nm > most_nm:
            raise ValidationError(f"Type at most {format_length(most_nm, self.metric)}, {limit}.")
        return length_nm

    def clean(self) -> dict[str, Any]:
        super().clean()
        if not self.errors:
            try:
                self.boards.layout_for(replace(self.layout_request, choice=self.choice()), effort="first")
            except CannotLay as refusal:
                raise ValidationError(str(refusal)) from refusal
        return self.cleaned_data

    def choice(self) -> LayoutChoice:
        typed = self.cleaned_data
        return LayoutChoice(
            corner=typed["corner"] or None,
            along=typed["along"] or None,
            first_width_nm=typed["first_width_nm"],
            first_piece_nm=typed["first_piece_nm"],
            extra=typed["extra"],
        )


class TileForm(forms.Form):
    """Where tile starts and how it is set; `usual` until something is typed.

    Nothing is stored: it only shows how the tile would lie.
    """

    start = forms.ChoiceField(
        label="Start",
        choices=[
            ("centred", "Centered, so that both edges are alike"),
            ("from wall", "With whole tiles at a wall"),
            ("from below", "On a wall: whole tiles at its foot, centered across"),
        ],
        widget=forms.RadioSelect,
    )
    corner = forms.ChoiceField(label="Corner to start in", choices=BoardChoice.Corner)
    along = forms.ChoiceField(label="Long sides run", choices=BoardChoice.Along)
    pattern = forms.ChoiceField(
        label="Pattern",
        choices=Assembly.TilePattern,
        help_text="All but courses begin in the middle, whatever start is chosen.",
    )
    offset = forms.ChoiceField(
        label="Offset of each course",
        choices=Assembly.TileOffset,
        help_text="For long tile a third at most is common practice, so that lips stay small.",
    )
    joint_nm = LengthField(label="Joint", bare="in", allow_zero=True)
    spare_percent = NumberField(
        label="Bought besides, %",
        most=Decimal(100),
        places=1,
        help_text="For breakage and later repairs.",
    )
    reuse = forms.BooleanField(label="What is cut off may serve once more", required=False)

    def __init__(self, data: Mapping[str, str] | None, usual: TilePreferences, metric: bool = False) -> None:
        rules = usual.rules
        super().__init__(
            data or None,
            initial={
                "start": usual.start,
                "corner": usual.corner,
                "along": usual.along,
                "pattern": rules.pattern,
                "offset": str(rules.offset),
                "joint_nm": rules.joint_nm,
                "spare_percent": f"{float(rules.spare * 100):g}",
                "reuse": rules.reuse_offcuts,
            },
        )
        self.usual = usual
        set_plain_messages(self.fields)
        if metric:
            joint = self.fields["joint_nm"]
            assert isinstance(joint, LengthField)
            joint.use_metric("mm")

    def preferences(self) -> TilePreferences:
        """Return what was asked for; the usual where nothing was, or where it can't be read."""
        if not self.is_bound or not self.is_valid():
            return self.usual
        typed = self.cleaned_data
        rules = TileRules(
            joint_nm=typed["joint_nm"],
            offset=Fraction(typed["offset"]),
            pattern=typed["pattern"],
            reuse_offcuts=typed["reuse"],
            spare=Fraction(typed["spare_percent"]) / 100,
        )
        return TilePreferences(typed["start"], typed["along"], typed["corner"], rules)


class BoardRulesForm(ModelForm[BoardRules]):
    """The firm's own rules for a board; an empty field keeps the usual rule."""

    may_turn = forms.TypedChoiceField(
        label="Boards may be turned",
        required=False,
        choices=[("", "As is usual"), ("yes", "Yes"), ("no", "No: they have a strength axis")],
        coerce=lambda typed: typed == "yes",
        empty_value=None,
    )

    class Meta:
        model = BoardRules
        fields = (*RULE_WORDS, "source")
        widgets = {"source": forms.Textarea(attrs={"rows": 2})}

    def __init__(
        self,
        *args: Any,
        layout_request: LayoutRequest,
        usual: SheetRules,
        metric: bool = False,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.layout_request, self.usual, self.metric = layout_request, usual, metric
        for name, (label, source) in RULE_WORDS.items():
            if name == "may_turn":
                continue
            field = LengthField(
                label=label,
                required=False,
                bare="in",
                allow_zero=name != "fastener_spacing_nm",
                help_text=f"Usual: {format_length(getattr(usual, name), metric)} ({source})",
            )
            if metric:
                field.use_metric("mm")
            self.fields[name] = field
        turned = self.instance.may_turn
        self.initial["may_turn"] = "" if turned is None else "yes" if turned else "no"
        self.fields["source"].help_text = "Such as the maker's instructions, with their date."
        set_plain_messages(self.fields)

    def clean(self) -> dict[str, Any]:
        """Refuse rules that contradict each other, and a rule without a source."""
        super().clean()
        cleaned = self.cleaned_data
        own = {name: cleaned[name] for name in RULE_WORDS if cleaned.get(name) is not None}
        if not self.errors:
            try:
                check_rules(self.layout_request.sheet, replace(self.usual, **own), self.metric)
            except CannotLay as refusal:
                raise ValidationError(str(refusal)) from refusal
            if own and not cleaned["source"].strip():
                self.add_error("source", "Say where these rules come from, such as the maker's instructions.")
        return cleaned
