"""Taking rows out of the catalog: any row can be retired, only a row that nothing uses can be deleted."""

from typing import TypedDict

from django.db import models, router, transaction
from django.db.models.deletion import Collector, ProtectedError

from catalog.models import Assembly, Component, Material, Operation, Package


def is_in_use(row: models.Model) -> bool:
    """Tell whether work, an estimate or another row uses this one. A material's own packages don't count."""
    collector = Collector(using=router.db_for_write(type(row)), origin=row)
    try:
        collector.collect([row])
    except ProtectedError as error:
        own = Package if isinstance(row, Material) else ()
        return any(not isinstance(protected, own) for protected in error.protected_objects)
    return False


class Use(TypedDict):
    """An assembly that uses a row."""

    assembly_id: int
    assembly__name: str


def uses_of(row: Material | Operation | Assembly) -> models.QuerySet[Component, Use]:
    """Return the assemblies that use a row, each once, by name."""
    return row.used_in.order_by("assembly__name").values("assembly_id", "assembly__name").distinct()


@transaction.atomic
def delete(row: models.Model) -> None:
    """Delete a row with what belongs to it. Raises ProtectedError where something uses it."""
    if isinstance(row, Material):
        row.packages.all().delete()
    row.delete()
