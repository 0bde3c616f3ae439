"""The addresses of the site: signing in, then the pages of each app."""

from django.contrib.auth import views as auth
from django.urls import include, path, reverse_lazy

sign_in_urls = [
    path("sign-in/", auth.LoginView.as_view(redirect_authenticated_user=True), name="login"),
    path("sign-out/", auth.LogoutView.as_view(), name="logout"),
    path(
        "password/",
        auth.PasswordChangeView.as_view(success_url=reverse_lazy("today")),
        name="password-change",
    ),
]

urlpatterns = [
    *sign_in_urls,
    path("catalog/", include("catalog.urls")),
    path("", include("estimating.urls")),
]
