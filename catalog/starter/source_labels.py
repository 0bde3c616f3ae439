"""Which source a number may name: a book that a shipped number came from says nothing of the firm's own."""

from catalog.models import Component, Material, Operation
from catalog.starter.own_jobs import OWN_FIGURES, OWN_JOBS
from catalog.starter.shipped import (
    part_values,
    price_is_shipped,
    shipped_values,
    values_of,
)

PRICE_INVENTED = "Price invented for the demo."
_HOURS = ("rate_typed", "low_typed", "high_typed", "set_up_hours", "wait_hours")


def labor_source(operation: Operation) -> str:
    """Return the source to store with the hours of an operation as they are now.

    It is the shipped source only where the hours are the shipped ones. A source that the firm wrote itself
    stays; one that its own jobs gave holds for the rate that it names.
    """
    if operation.shipped is None:
        return operation.source
    shipped, current = shipped_values(operation), values_of(operation)
    as_shipped = all(shipped.get(key, current[key]) == current[key] for key in _HOURS)
    source = operation.source
    if source.startswith(OWN_JOBS) and (as_shipped or not _names_rate(source, operation)):
        source = shipped["source"]
    return _source(source, shipped["source"], as_shipped)


def _names_waste(component: Component) -> bool:
    waste = f"{component.waste_percent.normalize():f}% waste,"
    return component.source.startswith(f"{OWN_JOBS}{waste}")


def _names_rate(source: str, operation: Operation) -> bool:
    return source.startswith(f"{OWN_JOBS}{operation.rate_typed},")


def part_source(component: Component) -> str:
    """Return the source to store with the rate of a component as it is now, as `labor_source` does."""
    if component.source.startswith(OWN_JOBS) and not _names_waste(component):
        return ""
    sourced = [part for part in shipped_values(component.assembly).get("components", ()) if part["source"]]
    alike = [part for part in sourced if _source(component.source, part["source"], True) == part["source"]]
    if not alike:
        return component.source
    current = part_values(component)
    as_shipped = [part for part in alike if current | {"source": part["source"]} == part]
    return _source(component.source, (as_shipped or alike)[0]["source"], bool(as_shipped))


def material_source(material: Material) -> str:
    """Return the source to show of a material, which says that prices are invented only while one is."""
    packages = [package for package in material.packages.all() if not package.retired]
    if not packages or any(price_is_shipped(package) for package in packages):
        return material.source
    return material.source.replace(PRICE_INVENTED, "Prices are your own.").strip()


def _source(source: str, shipped: str, as_shipped: bool) -> str:
    """Return a shipped source with or without the words for own figures; another source stays as it is."""
    if source not in (shipped, OWN_FIGURES + shipped):
        return source
    return shipped if as_shipped else OWN_FIGURES + shipped
