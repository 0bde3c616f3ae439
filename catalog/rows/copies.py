"""Copies of catalog rows together with the rows that belong to them."""

from django.db import models, transaction

from catalog.models import Assembly, CodedRow, Kit, Material, Operation, Package
from catalog.rows.names import copy_name, free_code

# The relations that hold what belongs to a row, and the foreign key by which each points to it.
OWNED: dict[type[models.Model], dict[str, str]] = {
    Material: {"packages": "material"},
    Operation: {},
    Assembly: {"components": "assembly", "goes_with": "assembly", "waits_for": "assembly"},
    Kit: {"lines": "kit"},
}


@transaction.atomic
def copy_of(row: CodedRow) -> CodedRow:
    """Create and return a row "Copy of NAME", not retired, with copies of what belongs to the row.

    The copy is the firm's own: it has no values that the starting catalog shipped.
    """
    model = type(row)
    copy = model.objects.get(pk=row.pk)
    copy.pk, copy.retired, copy.shipped = None, False, None
    copy._state.adding = True
    copy.name = copy_name(model, row.name)
    copy.code = free_code(model, copy.name)
    copy.save()
    for relation, owner in OWNED[model].items():
        for owned in getattr(row, relation).all():
            owned.pk = None
            if isinstance(owned, Package):
                owned.shipped = None
            owned._state.adding = True
            setattr(owned, owner, copy)
            owned.save()
    return copy
