"""Addresses of the catalog and of the firm's settings."""

from django.urls import path

from catalog.views.home import catalog

_FIRST = [
    ("materials/", "materials"),
    ("materials/new/", "material-new"),
    ("materials/<int:pk>/", "material"),
    ("packages/<int:pk>/price/", "package-price"),
    ("labour/", "operations"),
    ("labour/new/", "operation-new"),
    ("labour/<int:pk>/", "operation"),
    ("assemblies/", "assemblies"),
    ("assemblies/new/", "assembly-new"),
    ("assemblies/<int:pk>/", "assembly"),
    ("suppliers/", "suppliers"),
    ("suppliers/new/", "supplier-new"),
    ("suppliers/<int:pk>/", "supplier"),
    ("bundles/", "bundles"),
    ("bundles/new/", "bundle-new"),
    ("bundles/<int:pk>/", "bundle"),
    ("price-list/take-in/", "price-list-import"),
    ("price-list/", "price-list-export"),
    ("firm/", "firm"),
    ("firm/hourly-rate/", "hourly-rate"),
]

urlpatterns = [
    path("", catalog, name="catalog"),
    *(path(route, catalog, name=name) for route, name in _FIRST),
]
