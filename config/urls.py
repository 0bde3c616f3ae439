"""The addresses of the site: those for signing in, then the pages of each app."""

from django.conf import settings
from django.contrib.auth.views import LogoutView
from django.urls import include, path

from config.parts import parts
from config.sign_in import ChangePassword, sign_in

sign_in_urls = [
    path("sign-in/", sign_in, name="login"),
    path("sign-out/", LogoutView.as_view(), name="logout"),
    path("password/", ChangePassword.as_view(), name="password-change"),
]

urlpatterns = [
    *sign_in_urls,
    path("catalog/", include("catalog.urls")),
    path("", include("estimating.urls")),
    path("", include("jobsite.urls")),
    path("", include("invoicing.urls")),
    path("", include("phone.urls")),
    path("", include("backup.urls")),
    path("", include("reach.urls")),
]

if settings.DEBUG:
    urlpatterns.append(path("dev/parts/", parts, name="dev-parts"))

handler500 = "config.failures.server_error"
