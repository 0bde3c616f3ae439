"""The addresses of the catalog and of the firm's settings."""

from django.urls import path

from catalog.views import (
    assemblies,
    components,
    firm,
    home,
    kits,
    lists,
    materials,
    operations,
    price_list,
    provenance,
    retiring,
    supplier_prices,
    suppliers,
    wages,
)

LISTS = {
    "assemblies": "assemblies",
    "materials": "materials",
    "operations": "labor",
    "suppliers": "suppliers",
    "kits": "kits",
}

list_urls = [
    url
    for kind, folder in LISTS.items()
    for url in (
        path(f"{folder}/", lists.catalog_list, {"kind": kind}, name=kind),
        path(f"{folder}/found/", lists.catalog_list_rows, {"kind": kind}, name=f"{kind}-found"),
        path(f"{folder}/<int:pk>/copy/", retiring.copy, {"kind": kind}, name=f"{kind}-copy"),
        path(f"{folder}/<int:pk>/hide/", retiring.retire, {"kind": kind}, name=f"{kind}-retire"),
        path(
            f"{folder}/<int:pk>/bring-back/", retiring.bring_back, {"kind": kind}, name=f"{kind}-bring-back"
        ),
        path(f"{folder}/<int:pk>/delete/", retiring.delete, {"kind": kind}, name=f"{kind}-delete"),
    )
]

material_urls = [
    path("materials/new/", materials.material_new, name="material-new"),
    path("materials/<int:pk>/", materials.material, name="material"),
    path("materials/<int:pk>/edit/", materials.material_edit, name="material-edit"),
    path("packages/<int:pk>/", materials.package, name="package"),
    path("packages/<int:pk>/row/", materials.package_row, name="package-row"),
    path("packages/<int:pk>/price/", materials.package_price, name="package-price"),
    path("packages/<int:pk>/price/here/", materials.package_price_here, name="package-price-here"),
    path("packages/<int:pk>/hide/", materials.package_retire, name="package-retire"),
    path("packages/<int:pk>/delete/", materials.package_delete, name="package-delete"),
]

work_urls = [
    path("labor/new/", operations.operation_new, name="operation-new"),
    path("labor/reading/", operations.hours_reading, name="hours-reading"),
    path("labor/<int:pk>/", operations.operation, name="operation"),
    path("assemblies/new/", assemblies.assembly_new, name="assembly-new"),
    path("assemblies/<int:pk>/", assemblies.assembly, name="assembly"),
    path("assemblies/<int:pk>/edit/", assemblies.assembly_edit, name="assembly-edit"),
    path("assemblies/<int:pk>/trial/", assemblies.assembly_trial, name="assembly-trial"),
    path("assemblies/<int:pk>/parts/new/", components.component_new, name="component-new"),
    path("companions/<int:pk>/remove/", assemblies.companion_remove, name="companion-remove"),
    path("before/<int:pk>/remove/", assemblies.precedence_remove, name="precedence-remove"),
    path("parts/reading/", components.component_reading, name="component-reading"),
    path("parts/<int:pk>/", components.component, name="component"),
    path("parts/<int:pk>/move/", components.component_move, name="component-move"),
    path("parts/<int:pk>/remove/", components.component_remove, name="component-remove"),
    path("kits/new/", kits.kit_new, name="kit-new"),
    path("kits/<int:pk>/", kits.kit, name="kit"),
    path("kits/<int:pk>/edit/", kits.kit_edit, name="kit-edit"),
    path("kit-lines/<int:pk>/move/", kits.kit_line_move, name="kit-line-move"),
    path("kit-lines/<int:pk>/remove/", kits.kit_line_remove, name="kit-line-remove"),
]

where_urls = [
    path("changed/", provenance.changed, name="catalog-changed"),
    path("materials/<int:pk>/where/", provenance.material_where, name="material-where"),
    path("labor/<int:pk>/where/", provenance.operation_where, name="operation-where"),
    path("assemblies/<int:pk>/where/", provenance.assembly_where, name="assembly-where"),
    path("parts/<int:pk>/where/", provenance.component_where, name="component-where"),
    *(
        path(
            f"{folder}/<int:pk>/put-back/",
            provenance.restore,
            {"kind": kind},
            name=f"{kind}-put-back",
        )
        for kind, folder in {**LISTS, "packages": "packages"}.items()
        if kind not in ("suppliers", "kits")
    ),
]

supplier_urls = [
    path("suppliers/new/", suppliers.supplier_new, name="supplier-new"),
    path("suppliers/<int:pk>/", suppliers.supplier, name="supplier"),
    path("price-list/", price_list.price_list_export, name="price-list-export"),
    path("price-list/import/", price_list.price_list_import, name="price-list-import"),
    path("price-list/refused/", price_list.price_list_refused, name="price-list-refused"),
    path("prices/file/", supplier_prices.supplier_file, name="supplier-file"),
    path("prices/file/columns/", supplier_prices.supplier_columns, name="supplier-columns"),
    path("prices/file/take/", supplier_prices.supplier_take, name="supplier-take"),
    path("prices/index/", supplier_prices.price_index, name="price-index"),
]

firm_urls = [
    path("firm/", firm.firm, name="firm"),
    path("firm/markup/", firm.markup_reading, name="markup-reading"),
    path("firm/hourly-rate/", firm.hourly_rate, name="hourly-rate"),
    path("firm/hourly-rate/figures/", firm.hourly_rate_figures, name="hourly-rate-figures"),
    path("firm/hourly-rate/wages/", wages.wages, name="wages"),
    path("firm/hourly-rate/wages/<int:pk>/remove/", wages.wage_remove, name="wage-remove"),
]

urlpatterns = [
    path("", home.catalog, name="catalog"),
    *material_urls,
    *work_urls,
    *where_urls,
    *supplier_urls,
    *list_urls,
    *firm_urls,
]
