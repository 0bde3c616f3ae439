"""What he types to lay boards his own way: where to start, and the rules that the firm follows."""

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from catalog.fields.form import CountField, LengthField, NumberField
from catalog.forms.named import say_plainly
from catalog.measures.units import format_length
from catalog.models import Assembly
from estimating.boards.description import RULE_WORDS
from estimating.boards.layouts import Boards, Choice, Laying, TileWish
from estimating.boards.tile import TileRules
from estimating.estimates.saved_layouts import RULES
from estimating.models import BoardChoice, BoardRules
from estimating.sheet_layout.rules import CannotLay, SheetRules, check_rules

RIPPED = "Such as {} for a board ripped in half. Leave empty to have it chosen."


class BoardChoiceForm(forms.ModelForm):
    """Corner, direction, first course and first piece of one board on one surface; sheets bought besides."""

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
        self, *args: Any, laying: Laying, boards: Boards, metric: bool = False, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.laying, self.boards, self.metric = laying, boards, metric
        for name, words in (("corner", "The usual one"), ("along", "Whichever is best")):
            self.fields[name] = forms.ChoiceField(
                label=self.fields[name].label.capitalize(),
                required=False,
                widget=forms.RadioSelect,
                choices=[("", words), *self.Meta.model._meta.get_field(name).choices],
            )
        if not laying.rules.may_turn:
            self.fields["along"].help_text = "These boards aren't turned: their length runs across."
            self.fields["along"].choices = [("", "Across the drawing")]
        if metric:
            self.fields["first_width_nm"].use_metric("cm")
            self.fields["first_width_nm"].help_text = RIPPED.format(45)
            self.fields["first_piece_nm"].use_metric("cm")
        say_plainly(self.fields)

    def clean_extra(self) -> int:
        """With the button, one more."""
        return min(50, (self.cleaned_data["extra"] or 0) + ("one_more" in self.data))

    def clean_first_width_nm(self) -> int | None:
        return self._at_most("first_width_nm", self.laying.sheet.width_nm, "the width of a sheet")

    def clean_first_piece_nm(self) -> int | None:
        return self._at_most("first_piece_nm", self.laying.sheet.length_nm, "the length of a sheet")

    def _at_most(self, name: str, most_nm: int, what: str) -> int | None:
        typed = self.cleaned_data[name]
        if typed is not None and typed > most_nm:
            raise ValidationError(f"Type at most {format_length(most_nm, self.metric)}, {what}.")
        return typed

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if not self.errors:
            try:
                self.boards.look(replace(self.laying, choice=self.choice()), effort="first")
            except CannotLay as refusal:
                raise ValidationError(str(refusal)) from refusal
        return cleaned

    def choice(self) -> Choice:
        said = self.cleaned_data
        return Choice(
            said["corner"] or None, said["along"] or None, said["first_width_nm"], said["first_piece_nm"],
            said["extra"],
        )  # fmt: skip


class TileForm(forms.Form):
    """Where tile starts and how it is set, `usual` until something is typed. Nothing is kept: it is for
    looking."""

    start = forms.ChoiceField(
        label="Start",
        choices=[
            ("centred", "Centered, so that both edges are alike"),
            ("from wall", "With whole tiles at a wall"),
        ],
        widget=forms.RadioSelect,
    )
    corner = forms.ChoiceField(label="Corner to start in", choices=BoardChoice.Corner)
    along = forms.ChoiceField(label="Long sides run", choices=BoardChoice.Along)
    offset = forms.ChoiceField(
        label="Each course moved on by",
        choices=Assembly.TileOffset,
        help_text="For long tile a third at most is common practice, so that lips stay small.",
    )
    joint_nm = LengthField(label="Joint", bare="in", allow_zero=True)
    spare_percent = NumberField(
        label="Spare, %", most=Decimal(100), places=1, help_text="Left over for repairs; bought besides."
    )
    reuse = forms.BooleanField(label="What is cut off may serve once more", required=False)

    def __init__(self, data: Mapping[str, str] | None, usual: TileWish, metric: bool = False) -> None:
        rules = usual.rules
        super().__init__(
            data or None,
            initial={
                "start": usual.start,
                "corner": usual.corner,
                "along": usual.along,
                "offset": str(rules.offset),
                "joint_nm": rules.joint_nm,
                "spare_percent": "0",
            },
        )
        self.usual = usual
        say_plainly(self.fields)
        if metric:
            self.fields["joint_nm"].use_metric("mm")

    def wish(self) -> TileWish:
        """What was asked for; the usual where nothing was, or what was can't be read."""
        if not self.is_bound or not self.is_valid():
            return self.usual
        said = self.cleaned_data
        rules = TileRules(
            joint_nm=said["joint_nm"],
            offset=Fraction(said["offset"]),
            reuse_offcuts=said["reuse"],
            spare=Fraction(said["spare_percent"]) / 100,
        )
        return TileWish(said["start"], said["along"], said["corner"], rules)


class BoardRulesForm(forms.ModelForm):
    """The firm's own rules for a board; what is left empty stays as is usual."""

    may_turn = forms.TypedChoiceField(
        label="Boards may be turned",
        required=False,
        choices=[("", "As is usual"), ("yes", "Yes"), ("no", "No: they have a strength axis")],
        coerce=lambda typed: typed == "yes",
        empty_value=None,
    )

    class Meta:
        model = BoardRules
        fields = (*RULES, "source")
        widgets = {"source": forms.Textarea(attrs={"rows": 2})}

    def __init__(
        self, *args: Any, laying: Laying, usual: SheetRules, metric: bool = False, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.laying, self.usual, self.metric = laying, usual, metric
        for name in RULES:
            if name != "may_turn":
                self.fields[name] = LengthField(
                    label=RULE_WORDS[name][0],
                    required=False,
                    bare="in",
                    allow_zero=name != "fastener_spacing_nm",
                    help_text=f"Usual: {format_length(getattr(usual, name), metric)} ({RULE_WORDS[name][1]})",
                )
                if metric:
                    self.fields[name].use_metric("mm")
        turned = self.instance.may_turn
        self.initial["may_turn"] = "" if turned is None else "yes" if turned else "no"
        self.fields["source"].help_text = "Such as the maker's instructions, with their date."
        say_plainly(self.fields)

    def clean(self) -> dict[str, Any]:
        """Refuses rules that contradict each other, and a rule without a source."""
        cleaned = super().clean()
        own = {name: cleaned[name] for name in RULES if cleaned.get(name) is not None}
        if not self.errors:
            try:
                check_rules(self.laying.sheet, replace(self.usual, **own), self.metric)
            except CannotLay as refusal:
                raise ValidationError(str(refusal)) from refusal
            if own and not cleaned["source"].strip():
                self.add_error("source", "Say where these rules come from, such as the maker's instructions.")
        return cleaned
