"""What the firm buys: suppliers, materials, and the packages that materials come in."""

from decimal import Decimal
from typing import ClassVar, Self, TypeVar

from django.core.validators import MinValueValidator
from django.db import models

from catalog.fields.model import MoneyField

_Row = TypeVar("_Row", bound=models.Model, covariant=True)


class InUseQuerySet(models.QuerySet[_Row]):
    """Rows of the catalog that can be retired."""

    def offered(self) -> Self:
        """Return the rows that are not retired."""
        return self.filter(retired=False)


InUseManager = models.Manager.from_queryset(InUseQuerySet)


class Supplier(models.Model):
    """A store that packages are bought from."""

    name = models.CharField(max_length=120, unique=True)
    phone = models.CharField(max_length=40, blank=True)
    note = models.TextField(max_length=1000, blank=True)
    retired = models.BooleanField(default=False)

    objects: ClassVar[InUseManager["Supplier"]] = InUseManager()

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class Material(models.Model):
    """Something bought for a job: a material, a rented machine, or a subcontract."""

    class Kind(models.TextChoices):
        MATERIAL = "material", "Material"
        EQUIPMENT = "equipment", "Equipment or rental"
        SUBCONTRACT = "subcontract", "Subcontract"

    code = models.SlugField(max_length=80, unique=True)
    name = models.CharField(max_length=120, unique=True)
    unit = models.CharField("unit it is used in", max_length=12)
    kind = models.CharField(max_length=12, choices=Kind, default=Kind.MATERIAL)
    taxable = models.BooleanField("sales tax is charged on it", default=True)
    caution = models.TextField(max_length=4000, blank=True)
    note = models.TextField(max_length=1000, blank=True)
    care = models.TextField("how the client cares for it", max_length=1000, blank=True)
    source = models.TextField("where its numbers come from", max_length=1000, blank=True)
    sheet_length_nm = models.BigIntegerField("sheet length", null=True, blank=True)
    sheet_width_nm = models.BigIntegerField("sheet width", null=True, blank=True)
    thickness_nm = models.BigIntegerField("thickness", null=True, blank=True)
    sizes_of = models.CharField("one of several sizes of", max_length=80, blank=True)
    sold_in_sticks = models.BooleanField("sold in sticks", default=False)
    stick_width_nm = models.BigIntegerField("width of a stick", null=True, blank=True)
    keeps_days = models.PositiveSmallIntegerField(
        "working days that it can lie on site", null=True, blank=True, validators=[MinValueValidator(1)]
    )
    retired = models.BooleanField(default=False)
    shipped = models.JSONField(null=True, editable=False)  # see catalog.starter.shipped

    objects: ClassVar[InUseManager["Material"]] = InUseManager()

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(sheet_length_nm__isnull=True, sheet_width_nm__isnull=True)
                | models.Q(sheet_length_nm__gt=0, sheet_width_nm__gt=0),
                name="sheet_has_length_and_width",
            ),
            models.CheckConstraint(
                condition=models.Q(stick_width_nm__isnull=True) | models.Q(stick_width_nm__gt=0),
                name="stick_has_width",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def sizes(self) -> "models.QuerySet[Material]":
        """Return the sizes in which this board comes, this one among them, the shortest first.

        A material that isn't one of several sizes has none.
        """
        if not self.sizes_of:
            return Material.objects.none()
        sheets = Material.objects.offered().filter(
            sizes_of__iexact=self.sizes_of, sheet_length_nm__isnull=False
        )
        return sheets.order_by("sheet_length_nm", "sheet_width_nm", "name")


class Package(models.Model):
    """A size in which a material is sold, with its price on a date."""

    material = models.ForeignKey(Material, models.PROTECT, related_name="packages")
    name = models.CharField("package", max_length=80)
    size = models.DecimalField(
        "holds", max_digits=12, decimal_places=4, validators=[MinValueValidator(Decimal("0.0001"))]
    )
    price = MoneyField(max_digits=10, decimal_places=2, validators=[])
    supplier = models.ForeignKey(Supplier, models.PROTECT, related_name="packages", null=True, blank=True)
    priced_on = models.DateField("price seen on", null=True, blank=True)
    # Such as "WPU1371 gypsum products: 310.2 in Nov 2025, 333.4 in Oct 2026": the price is an estimate by it.
    estimated_by = models.CharField("moved by an index", max_length=200, blank=True, editable=False)
    retired = models.BooleanField(default=False)
    shipped = models.JSONField(null=True, editable=False)  # see catalog.starter.shipped

    objects: ClassVar[InUseManager["Package"]] = InUseManager()

    class Meta:
        ordering = ["material", "size", "pk"]
        constraints = [
            models.CheckConstraint(condition=models.Q(size__gt=0), name="package_holds_something"),
            models.CheckConstraint(condition=models.Q(price__gte=0), name="package_price_not_negative"),
            models.UniqueConstraint(
                fields=["material", "name", "supplier"], name="one_package_of_a_name_by_supplier"
            ),
            models.UniqueConstraint(
                fields=["material", "name"],
                condition=models.Q(supplier__isnull=True),
                name="one_package_of_a_name_without_supplier",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.material.name}, {self.name}"


class PriceColumns(models.Model):
    """Which column of a supplier's file is which, remembered by the headings of the file."""

    headings = models.CharField(max_length=1000, unique=True)
    columns = models.JSONField()  # by role ("price"), the place of its column

    def __str__(self) -> str:
        return self.headings


class SupplierItem(models.Model):
    """What a supplier's file calls a package: by its item number, else by its words."""

    supplier = models.ForeignKey(Supplier, models.CASCADE, related_name="items")
    key = models.CharField(max_length=200)
    package = models.ForeignKey(Package, models.CASCADE, related_name="called")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["supplier", "key"], name="one_package_for_an_item_of_a_supplier")
        ]

    def __str__(self) -> str:
        return f"{self.supplier}: {self.key}"
