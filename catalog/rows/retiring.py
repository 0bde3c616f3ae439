"""Taking rows out of the catalog: anything can be retired, only what nothing uses can be deleted."""

from django.db import models, router, transaction
from django.db.models.deletion import Collector, ProtectedError

from catalog.models import Material, Package


def is_in_use(row: models.Model) -> bool:
    """Whether work, an estimate or another row stands on this one. A material's packages are its own."""
    collector = Collector(using=router.db_for_write(type(row)), origin=row)
    try:
        collector.collect([row])
    except ProtectedError as error:
        own = Package if isinstance(row, Material) else ()
        return any(not isinstance(each, own) for each in error.protected_objects)
    return False


@transaction.atomic
def delete(row: models.Model) -> None:
    """Delete a row with what is its own. Raises ProtectedError where something uses it."""
    if isinstance(row, Material):
        row.packages.all().delete()
    row.delete()
