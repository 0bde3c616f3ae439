"""What he types about one part of an assembly: what it uses, how much, and why."""

from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from django import forms

from catalog.assemblies.component_rates import typed_rate, worked_out_rate
from catalog.assemblies.cycles import loop_made
from catalog.assemblies.expansion import NestedInItself
from catalog.assemblies.formulas import Formula, UnusableInput, unusable
from catalog.assemblies.rate_messages import formula_in_words
from catalog.fields.form import CountField, NumberField
from catalog.forms.materials import SHORT
from catalog.forms.named import reads, say_plainly
from catalog.measures.room_measures import MEASURES
from catalog.measures.units import Rate, UnreadableRate
from catalog.models import Assembly, Component, Material, Operation
from catalog.models.assembly import MEASURE_CHOICES
from catalog.starter.source_labels import part_source

USES = {"operation": Operation, "material": Material, "part": Assembly}
GROUPS = {"operation": "Labor", "material": "Materials", "part": "Other assemblies"}
INPUT = "input-"


class ComponentForm(forms.ModelForm):
    """A part whose rate is typed, or worked out by the formula given."""

    uses = forms.ChoiceField(label="Uses")
    scales_with = forms.ChoiceField(label="Scales with", required=False)
    rate_typed = forms.CharField(
        label="How much",
        max_length=200,
        required=False,
        help_text="As you would say it: 350 sq ft per gallon, 1 each 8 in, 2 per room. "
        "Leave it empty where one goes with one, as for labor counted like the measure.",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    times = CountField(label="Times (coats)", least=1, most=20, initial=1)
    waste_percent = NumberField(label="Waste, %", most=Decimal(100), places=2, initial=Decimal(0))
    set_up = NumberField(
        label="Fixed amount",
        places=3,
        initial=Decimal(0),
        help_text="Added however large the room is, in the unit of what is used (hours for labor).",
    )

    class Meta:
        model = Component
        fields = ("scales_with", "rate_typed", "times", "waste_percent", "set_up", "set_up_per", "source")
        widgets = {"source": SHORT}
        labels = {"set_up_per": "The fixed amount comes"}

    field_order = ("uses", "scales_with", "rate_typed")

    def __init__(self, *args: Any, assembly: Assembly, formula: Formula | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.instance.assembly = assembly
        self.formula = formula
        say_plainly(self.fields)
        own = MEASURES[assembly.measure]
        self.fields["scales_with"].choices = [
            ("", f"Its own measure: {own.label} ({own.unit})"),
            *((code, f"{label} ({MEASURES[code].unit})") for code, label in MEASURE_CHOICES),
        ]
        self.fields["uses"].choices = [("", "Choose one"), *self._offered()]
        if self.instance.pk:
            self.initial["uses"] = _choice_of(self.instance)
        if formula:
            self._ask_for_inputs(formula)
        else:
            self.fields["rate_typed"].widget.attrs |= reads("component-reading", "uses", "scales_with") | {
                "hx-vals": f'{{"measure": "{assembly.measure}"}}'
            }

    def _offered(self) -> Iterable[tuple[str, list[tuple[str, str]]]]:
        """What a part may use, in groups; retired rows only where this part uses one already."""
        kept = _choice_of(self.instance)
        for kind, model in USES.items():
            rows = [row for row in model.objects.all() if not row.retired or f"{kind}:{row.pk}" == kept]
            if kind == "part":
                rows = [row for row in rows if row.pk != self.instance.assembly_id]
            yield GROUPS[kind], [(f"{kind}:{row.pk}", f"{row.name} ({unit_of(row)})") for row in rows]

    def _ask_for_inputs(self, formula: Formula) -> None:
        del self.fields["rate_typed"]
        others = dict(list(self.fields.items())[2:])
        for name in others:
            del self.fields[name]
        kept = self.instance.formula_inputs if self.instance.formula == formula.code else {}
        for each in formula.inputs:
            self.fields[INPUT + each.name] = forms.CharField(
                label=f"{each.label}, {each.unit}" if each.unit else each.label,
                required=False,
                max_length=40,
                initial=kept.get(each.name, each.default),
                help_text=each.source,
                widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
            )
        self.fields |= others

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        kind, _, pk = cleaned.get("uses", "").partition(":")
        if not kind:
            return cleaned
        used = USES[kind].objects.get(pk=pk)
        for each in USES:
            setattr(self.instance, each, used if each == kind else None)
        self._refuse_what_has_no_effect(kind)
        if kind == "part":
            self._refuse_a_loop(used)
        self._set_rate(used)
        return cleaned

    def save(self, commit: bool = True) -> Component:
        if self.instance.pk:
            self.instance.source = part_source(self.instance)
        return super().save(commit)

    def _refuse_what_has_no_effect(self, kind: str) -> None:
        if kind != "material" and self.cleaned_data.get("waste_percent"):
            self.add_error("waste_percent", "Waste falls on materials only: leave it at 0.")
        if kind == "part" and self.cleaned_data.get("set_up"):
            self.add_error("set_up", "A fixed amount goes on a material or labor: leave it at 0.")

    def _refuse_a_loop(self, used: Assembly) -> None:
        parts: dict[int, list[int]] = {}
        nested = Component.objects.filter(part__isnull=False).exclude(pk=self.instance.pk)
        for outer, inner in nested.values_list("assembly_id", "part_id"):
            parts.setdefault(outer, []).append(inner)
        if loop := loop_made(parts, self.instance.assembly_id, used.pk):
            names = Assembly.objects.in_bulk(set(loop))
            self.add_error("uses", str(NestedInItself(tuple(names[pk].name for pk in loop))))

    def _set_rate(self, used: Material | Operation | Assembly) -> None:
        if self._refuse_unusable_inputs():
            return
        measure = self.cleaned_data.get("scales_with") or self.instance.assembly.measure
        try:
            rate = self._rate(of=unit_of(used), per=MEASURES[measure].unit)
        except UnusableInput as error:
            self.add_error(INPUT + error.name, str(error))
        except UnreadableRate as error:
            self.add_error("uses" if self.formula else "rate_typed", str(error))
        else:
            self.instance.rate, self.instance.rate_typed = rate.per_unit, rate.typed

    def _refuse_unusable_inputs(self) -> bool:
        """Name each input of the formula that can't be used, beside it and so without its label."""
        if self.formula is None:
            return False
        labels = {each.name: each.label for each in self.formula.inputs}
        faults = list(unusable(self.formula, self._typed_inputs()))
        for fault in faults:
            label = labels[fault.name]
            said = str(fault).removeprefix(f"{label}: ")
            self.add_error(INPUT + fault.name, said.replace(f"{label} ", "It ", 1))
        return bool(faults)

    def _typed_inputs(self) -> dict[str, str]:
        return {each.name: self.cleaned_data.get(INPUT + each.name, "") for each in self.formula.inputs}

    def _rate(self, of: str, per: str) -> Rate:
        if self.formula is None:
            self.instance.formula, self.instance.formula_inputs = "", {}
            return typed_rate(self.cleaned_data.get("rate_typed", ""), of, per)
        typed = self._typed_inputs()
        kept = self.instance.formula_inputs if self.instance.formula == self.formula.code else {}
        inputs = {
            each.name: typed[each.name]
            for each in self.formula.inputs
            if each.name in kept or typed[each.name] not in ("", each.default)
        }
        self.instance.formula, self.instance.formula_inputs = self.formula.code, inputs
        return worked_out_rate(self.formula.code, inputs, of, per)

    def formula_words(self) -> str:
        """What the formula comes to with the inputs as they stand in the form; empty where one is missing."""
        if self.formula is None:
            return ""
        inputs = {each.name: self[INPUT + each.name].value() or "" for each in self.formula.inputs}
        measure = MEASURES.get(self["scales_with"].value() or self.instance.assembly.measure)
        unit = unit_of_choice(self["uses"].value() or "")
        return formula_in_words(self.formula.code, inputs, unit, measure.unit if measure else "")


def unit_of(used: Material | Operation | Assembly) -> str:
    return MEASURES[used.measure].unit if isinstance(used, Assembly) else used.unit


def _choice_of(component: Component) -> str:
    for kind in USES:
        if pk := getattr(component, f"{kind}_id"):
            return f"{kind}:{pk}"
    return ""


def unit_of_choice(choice: str) -> str:
    """The unit of what a choice names, empty for none or what isn't there."""
    kind, _, pk = choice.partition(":")
    row = USES[kind].objects.filter(pk=pk).first() if kind in USES and pk.isascii() and pk.isdigit() else None
    return unit_of(row) if row else ""
