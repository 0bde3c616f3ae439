"""URLs of signing in and of what the owner sets for it."""

from django.contrib.auth.views import LogoutView
from django.urls import URLPattern, path

from account import sign_in, views

urlpatterns: list[URLPattern] = [
    path("sign-in/", sign_in.sign_in, name="login"),
    path("sign-in/code/", sign_in.sign_in_code, name="sign-in-code"),
    path("sign-in/forgotten/", sign_in.forgotten, name="forgotten"),
    path("sign-in/new-password/<str:uidb64>/<str:token>/", sign_in.new_password, name="new-password"),
    path("sign-out/", LogoutView.as_view(), name="logout"),
    path("password/", sign_in.change_password, name="password-change"),
    path("firm/sign-in/", views.account, name="account"),
    path("firm/sign-in/second-step/", views.second_step_on, name="second-step-on"),
    path("firm/sign-in/second-step/off/", views.second_step_off, name="second-step-off"),
    path("firm/sign-in/recovery-codes/", views.recovery_codes, name="recovery-codes"),
    path("firm/sign-in/email/", views.change_email, name="account-email"),
]
