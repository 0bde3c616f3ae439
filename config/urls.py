"""The addresses of the site: those for signing in, then the pages of each app."""

from django.conf import settings
from django.urls import URLPattern, URLResolver, include, path

from config.parts import parts

urlpatterns: list[URLPattern | URLResolver] = [
    path("", include("account.urls")),
    path("catalog/", include("catalog.urls")),
    path("", include("estimating.urls")),
    path("", include("jobsite.urls")),
    path("", include("closing.urls")),
    path("", include("invoicing.urls")),
    path("", include("phone.urls")),
    path("", include("backup.urls")),
    path("", include("reach.urls")),
]

if settings.DEBUG:
    urlpatterns.append(path("dev/parts/", parts, name="dev-parts"))

handler500 = "config.failures.server_error"
