"""Copies of catalog rows, with what is their own: packages, components, companions, order, lines."""

from django.db import models, transaction

from catalog.models import Assembly, Bundle, Material, Operation, Package
from catalog.rows.names import copy_name, free_code

OWN: dict[type[models.Model], tuple[str, ...]] = {
    Material: ("packages",),
    Operation: (),
    Assembly: ("components", "goes_with", "waits_for"),
    Bundle: ("lines",),
}


@transaction.atomic
def copy_of(row: models.Model) -> models.Model:
    """A new row "Copy of NAME", not retired, with copies of what is the row's own. It is the firm's: no
    catalog shipped it."""
    model = type(row)
    twin = model.objects.get(pk=row.pk)
    twin.pk, twin.retired, twin.shipped = None, False, None
    twin._state.adding = True
    twin.name = copy_name(model, row.name)
    twin.code = free_code(model, twin.name)
    twin.save()
    for relation in OWN[model]:
        field = model._meta.get_field(relation).field.name
        for each in getattr(row, relation).all():
            each.pk = None
            if isinstance(each, Package):
                each.shipped = None
            each._state.adding = True
            setattr(each, field, twin)
            each.save()
    return twin
