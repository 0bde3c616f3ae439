"""URLs of the page on how clients reach the firm."""

from django.urls import URLPattern, path

from reach.views.reach import proof, reach_page

urlpatterns: list[URLPattern] = [
    path("firm/reach/", reach_page, name="reach"),
    path("firm/reach/proof/<slug:nonce>/", proof, name="reach-proof"),
]
