"""The form that puts work on rooms: assemblies and kits, the rooms, and which of their walls."""

import re
from collections.abc import Iterator, Set
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Self, TypeVar

from django import forms
from django.db.models import Model, QuerySet
from django.http import QueryDict
from django.utils.html import format_html

from catalog.fields.form import AmountField
from catalog.measures.room_measures import BY_HAND, MEASURES
from catalog.models import Assembly, Kit, Precedence
from catalog.phases import ALSO_CALLED, Phase
from estimating.estimates.work_order import stable_order
from estimating.forms.work import ON_WALLS, six_places, walls_field
from estimating.models import Estimate, MeasureOverride, Room, WorkItem, WorkRoom
from estimating.pricing.hidden_conditions import metric_unit

Row = TypeVar("Row", bound=Model)
_SEVERAL = ("rooms", "kits", "assemblies")


@dataclass(frozen=True)
class AssemblyChoice:
    """An assembly that can be chosen. `words` is what a search looks through."""

    assembly: Assembly
    amount: forms.BoundField | None
    chosen: bool
    words: str


@dataclass(frozen=True)
class KitChoice:
    """A kit that can be chosen, and the names of its assemblies."""

    kit: Kit
    holds: str
    chosen: bool
    words: str


@dataclass(frozen=True)
class PhaseChoices:
    """What can be chosen of one phase.

    `count` is how many assemblies it has, whatever the search finds; `wrong` says whether an amount typed
    there must be put right.
    """

    label: str
    count: int
    chosen: int
    wrong: bool
    rows: tuple[AssemblyChoice, ...]


class AddWorkForm(forms.Form):
    """Assemblies and kits to put on rooms in one go; `find` has the words of a search among them."""

    rooms = forms.ModelMultipleChoiceField(
        Room.objects.none(), required=False, widget=forms.CheckboxSelectMultiple, label="Rooms"
    )
    without_rooms = forms.BooleanField(
        required=False, label="It goes on none of them: I type its amounts by hand"
    )
    find = forms.CharField(required=False, max_length=100)
    kits = forms.ModelMultipleChoiceField(
        Kit.objects.none(), required=False, widget=forms.CheckboxSelectMultiple
    )
    assemblies = forms.ModelMultipleChoiceField(
        Assembly.objects.none(), required=False, widget=forms.CheckboxSelectMultiple
    )

    def __init__(self, *args: Any, rooms: QuerySet[Room], metric: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.job_rooms = list(rooms)
        self._offer_rows("rooms", rooms)
        if len(self.job_rooms) == 1:
            self.initial.setdefault("rooms", [self.job_rooms[0].pk])
        for room in self.job_rooms:
            self.fields[f"walls-{room.pk}"] = walls_field(room)
        self.offered = list(Assembly.objects.offered())
        self.offered_kits = Kit.objects.offered()
        self._offer_rows("assemblies", Assembly.objects.offered())
        self._offer_rows("kits", self.offered_kits)
        for assembly in self.offered:
            if assembly.measure in BY_HAND:
                unit = MEASURES[assembly.measure].unit
                self.fields[f"amount-{assembly.pk}"] = AmountField(
                    unit=unit,
                    metric=metric,
                    required=False,
                    label=amount_label(assembly.name, unit, metric),
                )

    def _offer_rows(self, name: str, rows: QuerySet[Row]) -> None:
        field = self.fields[name]
        assert isinstance(field, forms.ModelMultipleChoiceField)
        field.queryset = rows

    @classmethod
    def finding(cls, typed: QueryDict, **kwargs: Any) -> Self:
        """Return the form with what was typed and chosen so far, unchecked."""
        several = {
            name: typed.getlist(name) for name in typed if name in _SEVERAL or name.startswith("walls-")
        }
        return cls(initial=typed.dict() | several, **kwargs)

    def clean(self) -> dict[str, Any]:
        super().clean()
        if not self.errors and not self.chosen:
            self.add_error("assemblies", "Choose at least one piece of work.")
        elif not self.errors and self._rooms_forgotten():
            self.add_error("rooms", "Tick the rooms that this work goes on.")
        return self.cleaned_data

    def by_phase(self) -> Iterator[PhaseChoices]:
        """Yield what can be chosen, in the order of the work.

        It is everything, or what the search finds; what is chosen is always there.
        """
        words = (self["find"].value() or "").lower().split()
        chosen_pks = {str(pk) for pk in self["assemblies"].value() or ()}
        for phase in Phase:
            choices = [
                self._assembly_choice(assembly, chosen_pks)
                for assembly in self.offered
                if assembly.phase == phase
            ]
            rows = tuple(
                choice for choice in choices if choice.chosen or all(word in choice.words for word in words)
            )
            if rows:
                chosen = sum(choice.chosen for choice in choices)
                wrong = any(choice.amount is not None and choice.amount.errors for choice in rows)
                yield PhaseChoices(phase.label, len(choices), chosen, wrong, rows)

    def kits_for_rooms(self) -> tuple[list[KitChoice], list[KitChoice]]:
        """Return the kits named after a room of the job, and the others.

        A kit that is chosen is always among the first.
        """
        room_words = {word for room in self.job_rooms for word in _words(room.name)}
        chosen_pks = {str(pk) for pk in self["kits"].value() or ()}
        fitting: list[KitChoice] = []
        others: list[KitChoice] = []
        for kit in self.offered_kits.prefetch_related("lines__assembly"):
            holds = ", ".join(line.assembly.name for line in kit.lines.all())
            words = f"{kit.name} {holds}".lower()
            choice = KitChoice(kit, holds, str(kit.pk) in chosen_pks, words)
            fits = choice.chosen or not room_words.isdisjoint(_words(kit.name))
            (fitting if fits else others).append(choice)
        return fitting, others

    def walls_by_room(self) -> list[forms.BoundField]:
        """Return the field of the walls of every room."""
        return [self[f"walls-{room.pk}"] for room in self.job_rooms]

    def walls_chosen(self) -> bool:
        """Return whether any wall is chosen."""
        return any(field.value() for field in self.walls_by_room())

    def put_on(self, estimate: Estimate) -> list[WorkItem]:
        """Make a work item of everything chosen, on the rooms chosen.

        What goes by walls is put on the walls chosen. Call inside a transaction.
        """
        after = estimate.items.count()
        made = []
        for position, assembly in enumerate(self.chosen, after):
            item = WorkItem.objects.create(
                estimate=estimate,
                position=position,
                title=assembly.name,
                scope=assembly.scope,
                phase=assembly.phase,
                assembly=assembly,
            )
            self._put_in_rooms(item, bool({assembly.measure, assembly.plan_measure} & ON_WALLS))
            amount = self.cleaned_data.get(f"amount-{assembly.pk}")
            if amount is not None:
                MeasureOverride.objects.create(
                    item=item,
                    measure=assembly.measure,
                    amount=six_places(amount),
                    typed=self.data[self.add_prefix(f"amount-{assembly.pk}")],
                )
            made.append(item)
        return made

    @cached_property
    def chosen(self) -> list[Assembly]:
        """The assemblies chosen alone or in a kit, each once, kits first and in their order.

        What must be done before another stands before it.
        """
        in_kits = [
            line.assembly
            for kit in self.cleaned_data.get("kits", [])
            for line in kit.lines.select_related("assembly")
        ]
        chosen = list(dict.fromkeys([*in_kits, *self.cleaned_data.get("assemblies", [])]))
        positions = {assembly.pk: position for position, assembly in enumerate(chosen)}
        pairs = Precedence.objects.filter(assembly__in=chosen, earlier__in=chosen)
        before = {(positions[pair.earlier_id], positions[pair.assembly_id]) for pair in pairs}
        return [chosen[position] for position in stable_order(len(chosen), before)]

    def _rooms_forgotten(self) -> bool:
        """Tell whether rooms are measured and none is ticked for work that takes its amounts from rooms.

        That is asked before anything is put on: to tick them afterwards takes a page for each work item.
        """
        if not self.job_rooms or self.cleaned_data["rooms"] or self.cleaned_data["without_rooms"]:
            return False
        return any(assembly.measure not in BY_HAND for assembly in self.chosen)

    def _put_in_rooms(self, item: WorkItem, by_wall: bool) -> None:
        WorkRoom.objects.bulk_create(
            WorkRoom(
                item=item,
                room=room,
                walls=",".join(self.cleaned_data[f"walls-{room.pk}"]) if by_wall else "",
            )
            for room in self.cleaned_data["rooms"]
        )

    def _assembly_choice(self, assembly: Assembly, chosen_pks: Set[str]) -> AssemblyChoice:
        amount = f"amount-{assembly.pk}"
        searched = (
            assembly.name,
            assembly.get_phase_display(),
            assembly.scope,
            *ALSO_CALLED.get(assembly.phase, ()),
        )
        return AssemblyChoice(
            assembly,
            self[amount] if amount in self.fields else None,
            str(assembly.pk) in chosen_pks,
            " ".join(searched).lower(),
        )


def _words(name: str) -> list[str]:
    """Return the words of a name that can say which room is meant: not "of" or "the"."""
    return re.findall(r"\w{4,}", name.lower())


def amount_label(name: str, unit: str, metric: bool = False) -> str:
    """Return the label "How many", or "How many ft"; a screen reader reads the name of the work too."""
    counted = "" if unit == "each" else f" {metric_unit(unit, metric)}"
    return format_html('How many{}<span class="hidden-label"> of {}</span>', counted, name)
