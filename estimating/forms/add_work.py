"""What he chooses to put work on rooms: assemblies and bundles, the rooms, and which of their walls."""

import re
from collections.abc import Iterator, Set
from dataclasses import dataclass
from typing import Any, Self

from django import forms
from django.http import QueryDict
from django.utils.html import format_html

from catalog.fields.form import AmountField
from catalog.measures.room_measures import BY_HAND, MEASURES
from catalog.models import Assembly, Bundle, Precedence
from catalog.phases import ALSO_CALLED, Phase
from estimating.estimates.work_order import in_order
from estimating.forms.work import ON_WALLS, six_places, walls_field
from estimating.models import Estimate, MeasureOverride, Room, WorkItem, WorkRoom

METRIC = {"sq ft": "m2", "ft": "m"}
_MANY = ("rooms", "bundles", "assemblies")


@dataclass(frozen=True)
class Offered:
    """An assembly that can be chosen. `words` is what a search looks through."""

    assembly: Assembly
    amount: forms.BoundField | None
    chosen: bool
    words: str


@dataclass(frozen=True)
class Bundled:
    """A bundle that can be chosen, with what is in it."""

    bundle: Bundle
    holds: str
    chosen: bool
    words: str


@dataclass(frozen=True)
class OfferedPhase:
    """What can be chosen of one phase; `count` is how much there is, found or not, and `wrong` whether an
    amount typed there must be put right."""

    label: str
    count: int
    chosen: int
    wrong: bool
    rows: tuple[Offered, ...]


class AddWorkForm(forms.Form):
    """Assemblies and bundles to put on rooms in one go; `find` has the words of a search among them."""

    rooms = forms.ModelMultipleChoiceField(
        Room.objects.none(), required=False, widget=forms.CheckboxSelectMultiple, label="Rooms"
    )
    without_rooms = forms.BooleanField(
        required=False, label="It goes on none of them: I type its amounts by hand"
    )
    find = forms.CharField(required=False, max_length=100)
    bundles = forms.ModelMultipleChoiceField(
        Bundle.objects.none(), required=False, widget=forms.CheckboxSelectMultiple
    )
    assemblies = forms.ModelMultipleChoiceField(
        Assembly.objects.none(), required=False, widget=forms.CheckboxSelectMultiple
    )

    def __init__(self, *args: Any, rooms: Any, metric: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.rooms = list(rooms)
        self.fields["rooms"].queryset = rooms
        if len(self.rooms) == 1:
            self.initial.setdefault("rooms", [self.rooms[0].pk])
        for room in self.rooms:
            self.fields[f"walls-{room.pk}"] = walls_field(room)
        self.offered = list(Assembly.objects.offered())
        self.fields["assemblies"].queryset = Assembly.objects.offered()
        self.fields["bundles"].queryset = Bundle.objects.offered()
        for assembly in self.offered:
            if assembly.measure in BY_HAND:
                unit = MEASURES[assembly.measure].unit
                self.fields[f"amount-{assembly.pk}"] = AmountField(
                    unit=unit,
                    metric=metric,
                    required=False,
                    label=amount_label(assembly.name, unit, metric),
                )

    @classmethod
    def finding(cls, typed: QueryDict, **kwargs: Any) -> Self:
        """The form with what was typed and chosen so far, nothing of it judged."""
        many = {name: typed.getlist(name) for name in typed if name in _MANY or name.startswith("walls-")}
        return cls(initial=typed.dict() | many, **kwargs)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if not self.errors and not self.chosen():
            self.add_error("assemblies", "Choose at least one piece of work.")
        elif not self.errors and self._rooms_forgotten():
            self.add_error("rooms", "Tick the rooms that this work goes on.")
        return cleaned

    def by_phase(self) -> Iterator[OfferedPhase]:
        """What can be chosen, in the order of the work: all of it, or what the search finds, and always
        what is chosen."""
        wanted = (self["find"].value() or "").lower().split()
        picked = {str(pk) for pk in self["assemblies"].value() or ()}
        for phase in Phase:
            of_phase = [self._offer(each, picked) for each in self.offered if each.phase == phase]
            rows = tuple(
                each for each in of_phase if each.chosen or all(word in each.words for word in wanted)
            )
            if rows:
                chosen = sum(each.chosen for each in of_phase)
                wrong = any(each.amount is not None and each.amount.errors for each in rows)
                yield OfferedPhase(phase.label, len(of_phase), chosen, wrong, rows)

    def bundles_for_rooms(self) -> tuple[list[Bundled], list[Bundled]]:
        """The bundles called after a room of the job, and the others; what is chosen is among the first."""
        names = {word for room in self.rooms for word in _words(room.name)}
        rows = self.fields["bundles"].queryset.prefetch_related("lines__assembly")
        picked = {str(pk) for pk in self["bundles"].value() or ()}
        first, others = [], []
        for row in rows:
            holds = ", ".join(line.assembly.name for line in row.lines.all())
            each = Bundled(row, holds, str(row.pk) in picked, f"{row.name} {holds}".lower())
            fits = each.chosen or not names.isdisjoint(_words(row.name))
            (first if fits else others).append(each)
        return first, others

    def walls_by_room(self) -> list[forms.BoundField]:
        return [self[f"walls-{room.pk}"] for room in self.rooms]

    def walls_chosen(self) -> bool:
        return any(field.value() for field in self.walls_by_room())

    def put_on(self, estimate: Estimate) -> list[WorkItem]:
        """Make a work item of everything chosen, on the rooms chosen; what goes by walls, on the walls
        chosen. Call inside a transaction."""
        after = estimate.items.count()
        made = []
        for position, assembly in enumerate(self.chosen(), after):
            item = WorkItem.objects.create(
                estimate=estimate,
                position=position,
                title=assembly.name,
                scope=assembly.scope,
                phase=assembly.phase,
                assembly=assembly,
            )
            self._put_in_rooms(item, assembly.measure in ON_WALLS)
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

    def chosen(self) -> list[Assembly]:
        """Assemblies chosen alone or in a bundle, each once, bundles first and in their order; what must be
        done before another stands before it."""
        lines = [
            line.assembly
            for bundle in self.cleaned_data.get("bundles", [])
            for line in bundle.lines.select_related("assembly")
        ]
        chosen = list(dict.fromkeys([*lines, *self.cleaned_data.get("assemblies", [])]))
        place = {each.pk: index for index, each in enumerate(chosen)}
        pairs = Precedence.objects.filter(assembly__in=chosen, earlier__in=chosen)
        before = {(place[pair.earlier_id], place[pair.assembly_id]) for pair in pairs}
        return [chosen[index] for index in in_order(len(chosen), before)]

    def _rooms_forgotten(self) -> bool:
        """Whether rooms are measured and none is ticked for work that takes its amounts from rooms. Asked
        before anything is put on: to tick them afterwards is a page for each piece of work."""
        if not self.rooms or self.cleaned_data["rooms"] or self.cleaned_data["without_rooms"]:
            return False
        return any(each.measure not in BY_HAND for each in self.chosen())

    def _put_in_rooms(self, item: WorkItem, by_wall: bool) -> None:
        WorkRoom.objects.bulk_create(
            WorkRoom(
                item=item,
                room=room,
                walls=",".join(self.cleaned_data[f"walls-{room.pk}"]) if by_wall else "",
            )
            for room in self.cleaned_data["rooms"]
        )

    def _offer(self, assembly: Assembly, picked: Set[str]) -> Offered:
        amount = f"amount-{assembly.pk}"
        said = (
            assembly.name,
            assembly.get_phase_display(),
            assembly.scope,
            *ALSO_CALLED.get(assembly.phase, ()),
        )
        return Offered(
            assembly,
            self[amount] if amount in self.fields else None,
            str(assembly.pk) in picked,
            " ".join(said).lower(),
        )


def _words(name: str) -> list[str]:
    """The words of a name that can say which room is meant: not "of" or "the"."""
    return re.findall(r"\w{4,}", name.lower())


def amount_label(name: str, unit: str, metric: bool = False) -> str:
    """ "How many", or "How many ft"; the name of the work is there for a screen reader."""
    counted = "" if unit == "each" else f" {METRIC[unit] if metric else unit}"
    return format_html('How many{}<span class="hidden-label"> of {}</span>', counted, name)
