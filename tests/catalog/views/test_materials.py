"""Materials, packages, prices and suppliers, as they are typed; what is wrong is said at its field."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from catalog.measures.lengths import NM_PER_INCH, parse_length
from catalog.models import Firm, Material, Package, Supplier
from catalog.rows.values import CatalogReader
from tests.catalog.views.posting import refused, send
from tests.factories import add_component, make_assembly, make_firm, make_material

MATERIAL = {"name": "PVA primer", "unit": "gal", "kind": "material", "taxable": "on"}
PACKAGE = {"name": "5 gal pail", "size": "5", "price": "62.50", "supplier": "", "priced_on": "2026-11-20"}


def test_a_new_material_has_a_code_from_its_name_and_asks_for_a_package(signed_in: Client) -> None:
    answer = signed_in.post(reverse("material-new"), MATERIAL, follow=True)
    material = Material.objects.get()
    assert (material.code, material.unit, material.taxable) == ("pva-primer", "gal", True)
    assert "Add the package you buy it in." in answer.content.decode()


def test_a_name_that_is_there_already_is_refused_however_it_is_capitalised(signed_in: Client) -> None:
    make_material("PVA Primer")
    answer = send(signed_in, "material-new", **MATERIAL | {"name": "pva  primer"})
    assert "PVA Primer is in the catalog already" in refused(answer, "name")
    assert Material.objects.count() == 1


def test_the_name_of_a_retired_material_says_where_it_is(signed_in: Client) -> None:
    Material.objects.create(code="p", name="PVA primer", unit="gal", retired=True)
    assert "among the hidden ones" in refused(send(signed_in, "material-new", **MATERIAL), "name")


def test_a_10000_character_name_is_refused_and_kept_in_the_field(signed_in: Client) -> None:
    answer = send(signed_in, "material-new", **MATERIAL | {"name": "P" * 10_000})
    assert refused(answer, "name") == "Keep it to 120 characters: this has 10000."
    assert "P" * 10_000 in answer.content.decode()
    assert not Material.objects.exists()


def test_html_in_a_name_is_shown_as_text(signed_in: Client) -> None:
    name = "<script>alert(1)</script>"
    send(signed_in, "material-new", **MATERIAL | {"name": name})
    for url in (reverse("materials"), reverse("material", args=[Material.objects.get().pk])):
        page = signed_in.get(url).content.decode()
        assert name not in page
        assert "&lt;script&gt;alert(1)&lt;/script&gt;" in page


def test_what_cant_be_stored_says_for_how_many_days_it_keeps(signed_in: Client) -> None:
    send(signed_in, "material-new", **MATERIAL | {"keeps_days": "2"})
    assert Material.objects.get().keeps_days == 2
    page = signed_in.get(reverse("material", args=[Material.objects.get().pk])).content.decode()
    assert "Keeps on site" in page
    assert "2 working days" in page
    answer = send(signed_in, "material-new", **MATERIAL | {"name": "Mortar", "keeps_days": "0"})
    assert refused(answer, "keeps_days") == "0 is out of range: type 1 to 365."


def test_an_empty_form_names_what_is_missing(signed_in: Client) -> None:
    answer = send(signed_in, "material-new")
    assert refused(answer, "name") == "Type a name."
    assert answer.context["form"].errors["unit"] == ["Choose one."]
    assert "<title>Error:" in answer.content.decode()


def test_a_unit_that_is_not_offered_is_refused(signed_in: Client) -> None:
    answer = send(signed_in, "material-new", **MATERIAL | {"unit": "furlong"})
    assert refused(answer, "unit") == "Choose one of those offered."


def test_a_sheet_is_read_as_a_tape_and_needs_both_sides(signed_in: Client) -> None:
    sheet = {"sheet_length_nm": "5'", "sheet_width_nm": "", "thickness_nm": "1/4"}
    answer = send(signed_in, "material-new", **MATERIAL | sheet)
    assert refused(answer, "sheet_width_nm") == "A sheet needs both its length and its width."
    send(signed_in, "material-new", **MATERIAL | sheet | {"sheet_width_nm": "36 in"})
    board = Material.objects.get()
    assert (board.sheet_length_nm, board.sheet_width_nm) == (60 * NM_PER_INCH, 36 * NM_PER_INCH)
    assert board.thickness_nm == NM_PER_INCH // 4


def test_a_size_finer_than_it_is_shown_stays_when_something_else_is_changed(signed_in: Client) -> None:
    fine = parse_length("1.2199 m")
    board = Material.objects.create(
        code="b", name="Board", unit="each", sheet_length_nm=fine, sheet_width_nm=fine
    )
    form = signed_in.get(reverse("material-edit", args=[board.pk])).context["form"]
    shown = {name: form[name].value() for name in ("sheet_length_nm", "sheet_width_nm")}
    typed = {name: form.fields[name].prepare_value(value) for name, value in shown.items()}
    send(signed_in, "material-edit", board.pk, name="Board, long", unit="each", kind="material", **typed)
    board.refresh_from_db()
    assert (board.name, board.sheet_length_nm) == ("Board, long", fine)


def test_the_unit_stays_once_packages_or_work_count_in_it(signed_in: Client) -> None:
    paint = make_material("Paint")
    answer = send(signed_in, "material-edit", paint.pk, **MATERIAL | {"name": "Paint", "unit": "qt"})
    assert "count it in gal, so that stays" in refused(answer, "unit")
    paint.packages.all().delete()
    send(signed_in, "material-edit", paint.pk, **MATERIAL | {"name": "Paint", "unit": "qt"})
    paint.refresh_from_db()
    assert paint.unit == "qt"


def test_a_material_says_which_work_uses_it(signed_in: Client) -> None:
    paint, assembly = make_material("Paint"), make_assembly("Paint walls")
    add_component(assembly, paint, "350 sq ft per gal")
    assert "Paint walls" in signed_in.get(reverse("material", args=[paint.pk])).content.decode()


def test_a_package_is_added_on_the_page_of_its_material(signed_in: Client) -> None:
    paint = Material.objects.create(code="paint", name="Paint", unit="gal")
    store = Supplier.objects.create(name="Fennimore")
    send(signed_in, "material", paint.pk, **PACKAGE | {"supplier": str(store.pk)})
    package = paint.packages.get()
    assert (package.size, package.price.amount, package.supplier) == (5, Decimal("62.50"), store)


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("size", "0", "A package that holds nothing can't be bought: type how much it holds."),
        ("size", "a lot", "isn't a number. Type digits"),
        ("price", "-62.50", "A price can't be negative."),
        ("price", "62.505", "more than two decimals"),
        ("price", "", "Fill this in."),
        ("name", "", "Fill this in."),
        ("priced_on", "2999-01-01", "That day hasn't come yet"),
        ("priced_on", "yesterday", "Type a day such as 2026-11-24"),
        ("supplier", "999", "Choose one of those offered."),
    ],
)
def test_a_wrong_package_is_answered_at_its_field_and_not_stored(
    signed_in: Client, field: str, typed: str, sentence: str
) -> None:
    paint = Material.objects.create(code="paint", name="Paint", unit="gal")
    answer = send(signed_in, "material", paint.pk, **PACKAGE | {field: typed})
    assert sentence.replace("Fill this in.", "Fill this in.") in refused(answer, field)
    kept = "5 gal pail" if field != "name" else "62.50"
    assert f'value="{kept}"' in answer.content.decode()
    assert not Package.objects.exists()


def test_the_same_package_of_a_supplier_is_refused(signed_in: Client) -> None:
    paint = Material.objects.create(code="paint", name="Paint", unit="gal")
    send(signed_in, "material", paint.pk, **PACKAGE)
    answer = send(signed_in, "material", paint.pk, **PACKAGE | {"name": "5 GAL pail"})
    assert "is here already: change its price" in refused(answer, "name")


def test_one_tap_from_the_list_opens_the_price_with_today_filled_in(signed_in: Client) -> None:
    package = make_material("Paint").packages.get()
    assert reverse("package-price", args=[package.pk]) in signed_in.get(reverse("materials")).content.decode()
    row = signed_in.get(reverse("package-price-here", args=[package.pk])).content.decode()
    assert f'value="{timezone.localdate().isoformat()}"' in row
    assert "<html" not in row


def test_a_saved_price_gives_the_row_back(signed_in: Client) -> None:
    package = make_material("Paint").packages.get()
    today = timezone.localdate()
    row = send(signed_in, "package-price-here", package.pk, price="$1,041.20", priced_on=today.isoformat())
    assert row.status_code == 200
    assert "$1,041.20" in row.content.decode()
    package.refresh_from_db()
    assert (package.price.amount, package.priced_on) == (Decimal("1041.20"), today)


def test_a_wrong_price_gives_the_form_back_in_its_place(signed_in: Client) -> None:
    package = make_material("Paint", price="40.00").packages.get()
    row = send(signed_in, "package-price-here", package.pk, price="41.205", priced_on="")
    assert "more than two decimals" in refused(row, "price")
    assert 'value="41.205"' in row.content.decode()
    package.refresh_from_db()
    assert package.price.amount == Decimal("40.00")


def test_the_price_is_changed_without_script_as_well(signed_in: Client) -> None:
    package = make_material("Paint").packages.get()
    answer = signed_in.post(
        reverse("package-price", args=[package.pk]), {"price": "44", "priced_on": "2026-11-01"}, follow=True
    )
    assert answer.redirect_chain == [(reverse("materials"), 302)]
    assert "$44.00" in answer.content.decode()


def test_a_price_cannot_move_onto_another_package(signed_in: Client) -> None:
    paint, store = make_material("Paint"), Supplier.objects.create(name="Fennimore")
    mine = paint.packages.get()
    Package.objects.create(material=paint, name=mine.name, size=1, price=1, supplier=store)
    answer = send(signed_in, "package-price", mine.pk, price="4", supplier=str(store.pk), priced_on="")
    assert "is in the list: change that one" in refused(answer, "supplier")


def test_a_package_not_bought_any_more_leaves_the_list_and_can_come_back(signed_in: Client) -> None:
    package = make_material("Paint").packages.get()
    send(signed_in, "package-retire", package.pk)
    assert "it has no price yet" in signed_in.get(reverse("materials")).content.decode()
    send(signed_in, "package-retire", package.pk)
    assert "$40.00" in signed_in.get(reverse("materials")).content.decode()


def test_a_metric_firm_types_sheets_in_meters(signed_in: Client) -> None:
    make_firm(units=Firm.Units.METRIC)
    sheet = {"sheet_length_nm": "2.4", "sheet_width_nm": "1.2", "thickness_nm": "12.5"}
    send(signed_in, "material-new", **MATERIAL | sheet)
    board = Material.objects.get()
    assert (board.sheet_length_nm, board.thickness_nm) == (2_400_000_000, 12_500_000)


def test_a_supplier_is_added_changed_and_named_once(signed_in: Client) -> None:
    send(signed_in, "supplier-new", name="Fennimore", phone="555-0142")
    store = Supplier.objects.get()
    send(signed_in, "supplier", store.pk, name="Fennimore Building Supply", phone="555-0142")
    store.refresh_from_db()
    assert store.name == "Fennimore Building Supply"
    assert "already" in refused(send(signed_in, "supplier-new", name="FENNIMORE BUILDING SUPPLY"), "name")


def test_a_price_of_today_is_fresh_and_one_never_dated_is_not(signed_in: Client) -> None:
    package = make_material("Paint").packages.get()
    Package.objects.update(priced_on=timezone.localdate() - timedelta(days=1))
    row = reverse("package-row", args=[package.pk])
    assert "stale" not in signed_in.get(row).content.decode()
    Package.objects.update(priced_on=None)
    assert "no date on this price" in signed_in.get(row).content.decode()


def test_what_comes_in_sticks_is_marked_with_its_width_and_the_page_says_so(signed_in: Client) -> None:
    sticks = {"name": "Casing", "unit": "ft", "sold_in_sticks": "on", "stick_width_nm": "2-1/4"}
    send(signed_in, "material-new", **MATERIAL | sticks)
    casing = Material.objects.get()
    assert (casing.sold_in_sticks, casing.stick_width_nm) == (True, 9 * NM_PER_INCH // 4)
    page = signed_in.get(reverse("material", args=[casing.pk])).content.decode()
    assert "In sticks 2-1/4&quot; wide, bought by a cut list" in page
    spec = CatalogReader(Firm.current()).materials[casing.pk]
    assert (spec.stick, spec.stick_width_nm) == (True, casing.stick_width_nm)


def test_sticks_are_cut_by_the_foot_and_nothing_else(signed_in: Client) -> None:
    answer = send(signed_in, "material-new", **MATERIAL | {"unit": "each", "sold_in_sticks": "on"})
    assert refused(answer, "sold_in_sticks") == "Sticks are cut by the foot: choose feet (ft) as its unit."
    assert not Material.objects.exists()
