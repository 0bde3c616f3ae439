"""The form of one component of an assembly: what it uses, how much, and why."""

from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from django import forms

from catalog.assemblies.component_rates import formula_rate, typed_rate
from catalog.assemblies.cycles import closed_loop, successors
from catalog.assemblies.formula_inputs import UnusableInput
from catalog.assemblies.formulas import Formula, unusable_inputs
from catalog.assemblies.rate_messages import formula_in_words
from catalog.assemblies.specs import NestedInItself
from catalog.fields.form import CountField, NumberField
from catalog.forms.materials import SHORT
from catalog.forms.model_form import ModelForm, offer_choices, reading_attrs, set_plain_messages
from catalog.measures.rates import Rate, UnreadableRate
from catalog.measures.room_measures import MEASURES
from catalog.measures.units import UnfitUnits
from catalog.models import Assembly, Component, Material, Operation
from catalog.models.assembly import MEASURE_CHOICES
from catalog.starter.source_labels import part_source

USES: dict[str, type[Operation] | type[Material] | type[Assembly]] = {
    "operation": Operation,
    "material": Material,
    "part": Assembly,
}
GROUPS = {"operation": "Labor", "material": "Materials", "part": "Other assemblies"}
INPUT = "input-"


class ComponentForm(ModelForm[Component]):
    """A component whose rate is typed, or calculated by the formula given."""

    uses = forms.ChoiceField(label="Uses")
    scales_with = forms.ChoiceField(label="Priced by", required=False)
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
        set_plain_messages(self.fields)
        own = MEASURES[assembly.measure]
        measures = [(code, f"{label} ({MEASURES[code].unit})") for code, label in MEASURE_CHOICES]
        offer_choices(self, "scales_with", [("", f"Its own measure: {own.label} ({own.unit})"), *measures])
        offer_choices(self, "uses", [("", "Choose one"), *self._offered()])
        if self.instance.pk:
            self.initial["uses"] = _choice_of(self.instance)
        if formula:
            self._ask_for_inputs(formula)
        else:
            attrs = reading_attrs("component-reading", "uses", "scales_with")
            attrs["hx-vals"] = f'{{"measure": "{assembly.measure}"}}'
            self.fields["rate_typed"].widget.attrs |= attrs

    def _offered(self) -> Iterator[tuple[str, list[tuple[str, str]]]]:
        """Yield what a component may use, in groups; a retired row only where this component uses it now."""
        used = _choice_of(self.instance)
        for kind, model in USES.items():
            rows = [
                row for row in model._default_manager.all() if not row.retired or f"{kind}:{row.pk}" == used
            ]
            if kind == "part":
                rows = [row for row in rows if row.pk != self.instance.assembly_id]
            yield GROUPS[kind], [(f"{kind}:{row.pk}", f"{row.name} ({row.unit})") for row in rows]

    def _ask_for_inputs(self, formula: Formula) -> None:
        """Put a field for each input of the formula in the place of the typed rate."""
        del self.fields["rate_typed"]
        rest = dict(list(self.fields.items())[2:])
        for name in rest:
            del self.fields[name]
        stored = self._stored_inputs(formula)
        for known in formula.inputs:
            self.fields[INPUT + known.name] = forms.CharField(
                label=f"{known.label}, {known.unit}" if known.unit else known.label,
                required=False,
                max_length=40,
                initial=stored.get(known.name, known.default),
                help_text=known.source,
                widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
            )
        self.fields |= rest

    def _stored_inputs(self, formula: Formula) -> dict[str, str]:
        """Return the inputs stored for this formula; none where another formula or a typed rate is stored."""
        stored: dict[str, str] = self.instance.formula_inputs
        return stored if self.instance.formula == formula.code else {}

    def clean(self) -> dict[str, Any]:
        super().clean()
        kind, _, pk = self.cleaned_data.get("uses", "").partition(":")
        if not kind:
            return self.cleaned_data
        used = USES[kind]._default_manager.get(pk=pk)
        for other in USES:
            setattr(self.instance, other, used if other == kind else None)
        self._refuse_what_has_no_effect(kind)
        if isinstance(used, Assembly):
            self._refuse_a_loop(used)
        self._set_rate(used)
        return self.cleaned_data

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
        nested = Component.objects.filter(part__isnull=False).exclude(pk=self.instance.pk)
        parts = successors(nested.values_list("assembly_id", "part_id"))
        if loop := closed_loop(parts, self.instance.assembly_id, used.pk):
            names = Assembly.objects.in_bulk(set(loop))
            self.add_error("uses", str(NestedInItself(tuple(names[pk].name for pk in loop))))

    def _set_rate(self, used: Material | Operation | Assembly) -> None:
        """Set the rate from what is typed, or add the error that says why it can't be."""
        if self.formula and self._refuse_unusable_inputs(self.formula):
            return
        measure = self.cleaned_data.get("scales_with") or self.instance.assembly.measure
        try:
            rate = self._rate(of=used.unit, per=MEASURES[measure].unit)
        except UnusableInput as error:
            self.add_error(INPUT + error.name, error.beside_field)
        except (UnreadableRate, UnfitUnits) as error:
            self.add_error("uses" if self.formula else "rate_typed", str(error))
        else:
            self.instance.rate, self.instance.rate_typed = rate.per_unit, rate.typed

    def _refuse_unusable_inputs(self, formula: Formula) -> bool:
        """Add an error to each input of the formula that can't be used, and tell whether there is one."""
        faults = list(unusable_inputs(formula, self._typed_inputs(formula)))
        for fault in faults:
            self.add_error(INPUT + fault.name, fault.beside_field)
        return bool(faults)

    def _typed_inputs(self, formula: Formula) -> dict[str, str]:
        return {known.name: self.cleaned_data.get(INPUT + known.name, "") for known in formula.inputs}

    def _rate(self, of: str, per: str) -> Rate:
        """Return the rate, and set the formula with the inputs that differ from their defaults."""
        if self.formula is None:
            self.instance.formula, self.instance.formula_inputs = "", {}
            return typed_rate(self.cleaned_data.get("rate_typed", ""), of, per)
        typed = self._typed_inputs(self.formula)
        stored = self._stored_inputs(self.formula)
        inputs = {
            known.name: typed[known.name]
            for known in self.formula.inputs
            if known.name in stored or typed[known.name] not in ("", known.default)
        }
        self.instance.formula, self.instance.formula_inputs = self.formula.code, inputs
        return formula_rate(self.formula.code, inputs, of, per)

    def formula_words(self) -> str:
        """Return what the formula comes to with the inputs in the form; empty where one is missing."""
        if self.formula is None:
            return ""
        inputs = {known.name: self[INPUT + known.name].value() or "" for known in self.formula.inputs}
        measure = MEASURES.get(self["scales_with"].value() or self.instance.assembly.measure)
        unit = unit_of_choice(self["uses"].value() or "")
        return formula_in_words(self.formula.code, inputs, unit, measure.unit if measure else "")


def _choice_of(component: Component) -> str:
    """Return what a component uses as a choice of the form, such as "material:7"; empty for nothing."""
    for kind in USES:
        if pk := getattr(component, f"{kind}_id"):
            return f"{kind}:{pk}"
    return ""


def unit_of_choice(choice: str) -> str:
    """Return the unit of what a choice names; empty for no choice, or for what isn't there."""
    kind, _, pk = choice.partition(":")
    if kind not in USES or not (pk.isascii() and pk.isdigit()):
        return ""
    row = USES[kind]._default_manager.filter(pk=pk).first()
    return row.unit if row else ""
