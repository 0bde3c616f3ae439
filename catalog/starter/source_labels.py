"""Which source a figure may name: what a book says of a shipped figure it doesn't say of the firm's own."""

from catalog.models import Component, Material, Operation
from catalog.starter.shipped import OWN_FIGURES, part_values, price_is_shipped, values_of

PRICE_INVENTED = "Price invented for the demo."
_HOURS = ("rate_typed", "low_typed", "high_typed", "set_up_hours", "wait_hours")


def labor_source(operation: Operation) -> str:
    """The source to keep with the hours as they stand: the shipped one only where they are the shipped ones.
    What the firm wrote itself stays."""
    before, now = operation.shipped, values_of(operation)
    if before is None:
        return operation.source
    as_shipped = all(before.get(key, now[key]) == now[key] for key in _HOURS)
    return _source(operation.source, before["source"], as_shipped)


def part_source(component: Component) -> str:
    """The same for a rate in an assembly."""
    shipped = (component.assembly.shipped or {}).get("components", ())
    now = part_values(component)
    alike = [each for each in shipped if _source(component.source, each["source"], True) == each["source"]]
    alike = [each for each in alike if each["source"]]
    if not alike:
        return component.source
    as_shipped = [each for each in alike if now | {"source": each["source"]} == each]
    return _source(component.source, (as_shipped or alike)[0]["source"], bool(as_shipped))


def material_source(material: Material) -> str:
    """The source to show of a material: that prices are invented only while one of them is."""
    packages = [each for each in material.packages.all() if not each.retired]
    if not packages or any(price_is_shipped(each) for each in packages):
        return material.source
    return material.source.replace(PRICE_INVENTED, "Prices are your own.").strip()


def _source(source: str, shipped: str, as_shipped: bool) -> str:
    if source not in (shipped, OWN_FIGURES + shipped):
        return source
    return shipped if as_shipped else OWN_FIGURES + shipped
