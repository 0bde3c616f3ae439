"""A price list as a file: what is taken, what is handed back, and that out and in again loses nothing."""

import csv
import io
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from catalog.models import Material, Package, Supplier
from catalog.price_lists.csv_file import (
    MOST_BYTES,
    PriceRow,
    Refusal,
    UnreadablePriceList,
    read_price_list,
    write_price_list,
    write_refusals,
)
from catalog.price_lists.import_export import import_prices, price_rows
from tests.factories import TODAY, make_material
from tests.responses import PageResponse

HEAD = "material,unit,kind,taxable,package,holds,price,supplier,price date\r\n"
GOOD = "PVA primer,gal,material,yes,5 gal pail,5,62.50,Fennimore,2026-11-20\r\n"


def reading(text: str, today: date = TODAY) -> tuple[list[PriceRow], list[Refusal]]:
    price_list = read_price_list(text.encode(), today)
    return list(price_list.rows), list(price_list.refusals)


def test_a_row_gives_the_material_its_package_and_price() -> None:
    rows, refusals = reading(HEAD + GOOD)
    assert rows == [
        PriceRow(
            2,
            "PVA primer",
            "gal",
            package="5 gal pail",
            holds=Decimal(5),
            price=Decimal("62.50"),
            supplier="Fennimore",
            priced_on=date(2026, 11, 20),
        )
    ]
    assert refusals == []


def test_units_are_read_as_people_write_them() -> None:
    rows, _ = reading("material,unit\nPaint,gallons\nBase,lin. ft.\n")
    assert [row.unit for row in rows] == ["gal", "ft"]


def test_columns_may_stand_in_any_order_and_strange_ones_are_named() -> None:
    price_list = read_price_list(b"Unit,shelf,Material\ngal,7,Paint\n", TODAY)
    assert (price_list.rows[0].material, price_list.skipped) == ("Paint", ("shelf",))


@pytest.mark.parametrize("parting", [";", "\t"])
def test_a_spreadsheet_that_parts_cells_otherwise_is_read_too(parting: str) -> None:
    rows, _ = reading(f"material{parting}unit\nPaint, flat{parting}gal\n")
    assert rows[0].material == "Paint, flat"


def test_the_mark_that_spreadsheets_put_in_front_is_no_part_of_a_heading() -> None:
    rows = read_price_list(b"\xef\xbb\xbf" + (HEAD + GOOD).encode(), TODAY).rows
    assert rows[0].material == "PVA primer"


@pytest.mark.parametrize(
    "data", ["material,unit\nPeinture à l'eau,gal".encode("latin-1"), "material,unit\n".encode("utf-16")]
)
def test_another_encoding_is_answered_with_what_to_do(data: bytes) -> None:
    with pytest.raises(UnreadablePriceList, match="Save as, then CSV UTF-8"):
        read_price_list(data, TODAY)


@pytest.mark.parametrize(
    ("row", "reason"),
    [
        (",gal,,,,,,,", "No material is named"),
        ("Paint,,,,,,,,", "No unit is named"),
        ("Paint,furlongs,,,,,,,", "isn't a unit known here"),
        ("Paint,gal,furniture,,,,,,", "can't stand under kind"),
        ("Paint,gal,,maybe,,,,,", "can't stand under taxable: write yes or no"),
        ("Paint,gal,,,can,,20.00,,", "fill in all three"),
        ("Paint,gal,,,can,0,20.00,,", "holds more than 0"),
        ("Paint,gal,,,can,-1,20.00,,", "isn't what a package can hold"),
        ("Paint,gal,,,can,1.00001,20.00,,", "more than 4 decimals"),
        ("Paint,gal,,,can,1,-20.00,,", "can't be negative"),
        ("Paint,gal,,,can,1,20.005,,", "more than two decimals"),
        ("Paint,gal,,,can,1,cheap,,", "isn't a price"),
        ("Paint,gal,,,can,1,20.00,,soon", "isn't a day"),
        ("Paint,gal,,,can,1,20.00,,2026-11-25", "hasn't come yet"),
        ("Paint,gal,,,can,1,1,234.00,,", "more cells than there are columns"),
        ('Paint "best",gal,,,can,1,20.00,"x,', "quote mark"),
        (f"{'P' * 10_000},gal,,,,,,,", "more than 120 characters"),
    ],
)
def test_a_wrong_row_is_handed_back_with_its_reason_and_stops_no_other(row: str, reason: str) -> None:
    rows, refusals = reading(HEAD + GOOD + row + "\n" + "Grout,lb,,,,,,,\n")
    assert [row.material for row in rows] == ["PVA primer", "Grout"]
    assert [(refusal.line, reason in refusal.reason) for refusal in refusals] == [(3, True)], refusals


def test_a_quote_mark_that_never_closes_takes_no_row_after_it() -> None:
    rows, refusals = reading('material,unit\n"Paint,gal\nGrout,lb\n')
    assert [row.material for row in rows] == ["Grout"]
    assert [refusal.line for refusal in refusals] == [2]


def test_the_same_package_twice_is_refused_the_second_time() -> None:
    _, refusals = reading(HEAD + GOOD + GOOD.replace("62.50", "64.00"))
    assert refusals[0].reason == "Line 2 has the same material, package and supplier already."


def test_a_missing_column_is_named() -> None:
    with pytest.raises(UnreadablePriceList, match="unit isn't there"):
        read_price_list(b"material,price\nPaint,20\n", TODAY)


def test_a_file_over_2_mb_or_20000_rows_is_not_read() -> None:
    with pytest.raises(UnreadablePriceList, match="larger than 2 MB"):
        read_price_list(b"x" * (MOST_BYTES + 1), TODAY)
    with pytest.raises(UnreadablePriceList, match="20,001 rows"):
        read_price_list(b"material,unit\n" + b"a,gal\n" * 20_001, TODAY)


names = st.text(
    st.characters(exclude_categories=("C", "Z"), include_characters="=+-@'\", "), min_size=1, max_size=40
).map(lambda text: " ".join(text.split()))
rows_of_a_list = st.lists(
    st.builds(
        PriceRow,
        line=st.just(0),
        material=names.filter(bool),
        unit=st.sampled_from(["gal", "sq ft", "each"]),
        kind=st.sampled_from(["material", "equipment", "subcontract"]),
        taxable=st.booleans(),
        package=names.filter(bool),
        holds=st.decimals("0.0001", "9999999", places=4),
        price=st.decimals(0, "99999", places=2),
        supplier=names,
        priced_on=st.none() | st.dates(date(2000, 1, 1), TODAY),
    ),
    max_size=5,
    unique_by=lambda row: (row.material.casefold(), row.package.casefold(), row.supplier.casefold()),
)


@given(rows_of_a_list)
def test_what_is_written_is_read_back_the_same(rows: list[PriceRow]) -> None:
    again = read_price_list(write_price_list(rows).encode(), TODAY)
    assert again.refusals == ()
    assert [(row.material, row.package, row.supplier) for row in again.rows] == [
        (row.material, row.package, row.supplier) for row in rows
    ]
    assert [(row.holds, row.price, row.priced_on, row.taxable) for row in again.rows] == [
        (row.holds, row.price, row.priced_on, row.taxable) for row in rows
    ]


@given(rows_of_a_list)
def test_no_cell_that_is_written_looks_like_a_formula(rows: list[PriceRow]) -> None:
    for row in csv.reader(io.StringIO(write_price_list(rows))):
        for cell in row:
            number = cell.lstrip("+-").replace(".", "", 1).isdigit()
            assert number or cell[:1] not in tuple("=+-@\t"), cell


def test_refused_rows_written_and_taken_in_again_are_refused_for_the_same_reason() -> None:
    first = read_price_list((HEAD + "=Paint,gal,,,can,0,20.00,,\n").encode(), TODAY)
    again = read_price_list(write_refusals(first.headings, first.refusals).encode(), TODAY)
    assert again.refusals[0].cells[0] == "=Paint"
    assert again.refusals[0].reason == first.refusals[0].reason
    assert again.skipped == ("line", "reason")


def take(text: str, today: date = TODAY) -> tuple[int, int, int, list[str]]:
    report = import_prices(read_price_list(text.encode(), today), today)
    reasons = [refusal.reason for refusal in report.refusals]
    return report.created, report.updated, report.unchanged, reasons


@pytest.mark.django_db
def test_new_material_package_and_supplier_are_made_once() -> None:
    assert take(HEAD + GOOD) == (1, 0, 0, [])
    assert take(HEAD + GOOD) == (0, 0, 1, [])
    package = Package.objects.get()
    assert (package.material.name, package.supplier.name, package.price.amount, package.size) == (
        "PVA primer",
        "Fennimore",
        Decimal("62.50"),
        Decimal(5),
    )
    assert package.material.code == "pva-primer"


@pytest.mark.django_db
def test_a_new_price_without_a_date_counts_as_seen_today() -> None:
    take(HEAD + GOOD)
    later = TODAY + timedelta(days=30)
    changed = GOOD.replace("62.50", "66.00").replace("2026-11-20", "")
    assert take(HEAD + changed, later) == (0, 1, 0, [])
    package = Package.objects.get()
    assert (package.price.amount, package.priced_on) == (Decimal("66.00"), later)


@pytest.mark.django_db
def test_a_known_price_without_a_date_changes_nothing() -> None:
    take(HEAD + GOOD)
    assert take(HEAD + GOOD.replace("2026-11-20", "")) == (0, 0, 1, [])
    assert Package.objects.get().priced_on == date(2026, 11, 20)


@pytest.mark.django_db
def test_names_are_known_however_they_are_capitalised() -> None:
    take(HEAD + GOOD)
    assert take(HEAD + GOOD.upper().replace("GAL", "gal").replace("5 gal PAIL", "5 GAL PAIL")) == (
        0,
        0,
        1,
        [],
    )
    assert (Material.objects.count(), Supplier.objects.count()) == (1, 1)


@pytest.mark.django_db
def test_another_unit_than_the_catalog_counts_in_is_refused() -> None:
    make_material("PVA primer", unit="qt")
    created, updated, unchanged, reasons = take(HEAD + GOOD)
    assert (created, updated, unchanged) == (0, 0, 0)
    assert reasons == ["PVA primer is counted in qt here, not in gal."]


@pytest.mark.django_db
def test_a_retired_material_is_refused_not_revived() -> None:
    Material.objects.create(code="pva", name="PVA primer", unit="gal", retired=True)
    assert take(HEAD + GOOD)[3] == ["PVA primer is hidden. Bring it back first."]
    assert not Package.objects.exists()


@pytest.mark.django_db
def test_the_catalog_written_and_taken_in_again_is_unchanged() -> None:
    make_material("Paint, flat", size="2.5")
    Material.objects.create(code="tarp", name="=Tarp", unit="each", kind="equipment", taxable=False)
    created, updated, unchanged, reasons = take(write_price_list(price_rows()))
    assert (created, updated, unchanged, reasons) == (0, 0, 2, [])


def send(client: Client, data: bytes) -> PageResponse:
    return client.post(reverse("price-list-import"), {"file": SimpleUploadedFile("prices.csv", data)})


def test_the_report_counts_what_was_taken_and_offers_the_rest_as_a_file(signed_in: Client) -> None:
    page = send(signed_in, (HEAD + GOOD + "Paint,gal,,,can,0,20.00,,\n").encode())
    text = page.content.decode()
    assert page.status_code == 200
    assert "Line 3: Paint" in text
    assert "holds more than 0" in text
    refused = signed_in.post(reverse("price-list-refused"), {"refused": page.context["refused"]})
    assert refused.headers["Content-Disposition"] == 'attachment; filename="refused-rows.csv"'
    assert refused.content.decode("utf-8-sig").splitlines()[1].startswith("Paint,gal,,,can,0,20.00,,,3,")


def test_only_rows_that_a_report_named_come_back_as_a_file(signed_in: Client) -> None:
    assert signed_in.post(reverse("price-list-refused"), {"refused": "made up"}).status_code == 400


def test_a_file_in_another_encoding_says_what_to_do_at_the_field(signed_in: Client) -> None:
    page = send(signed_in, "material,unit\nPeinture à l'eau,gal".encode("latin-1"))
    assert page.status_code == 422
    assert "CSV UTF-8" in page.context["form"].errors["file"][0]
    assert not Material.objects.exists()


def test_the_price_list_is_saved_as_a_file(signed_in: Client) -> None:
    make_material("Paint")
    answer = signed_in.get(reverse("price-list-export"))
    assert answer.headers["Content-Type"] == "text/csv; charset=utf-8"
    assert answer.content.startswith(b"\xef\xbb\xbfmaterial,unit,")
