"""URLs of signing in and of what the owner sets for it."""

from django.contrib.auth.views import LogoutView
from django.urls import URLPattern, path

from account import passkey_views, sign_in, views

urlpatterns: list[URLPattern] = [
    path("sign-in/", sign_in.sign_in, name="login"),
    path("sign-in/code/", sign_in.sign_in_code, name="sign-in-code"),
    path("sign-in/passkey/", passkey_views.sign_in_passkey, name="sign-in-passkey"),
    path("sign-in/passkey/options/", passkey_views.use_options, name="passkey-options"),
    path("sign-in/forgotten/", sign_in.forgotten, name="forgotten"),
    path("sign-in/new-password/<str:uidb64>/<str:token>/", sign_in.new_password, name="new-password"),
    path("sign-out/", LogoutView.as_view(), name="logout"),
    path("password/", sign_in.change_password, name="password-change"),
    path("firm/sign-in/", views.account, name="account"),
    path("firm/sign-in/second-step/", views.second_step_on, name="second-step-on"),
    path("firm/sign-in/second-step/off/", views.second_step_off, name="second-step-off"),
    path("firm/sign-in/recovery-codes/", views.recovery_codes, name="recovery-codes"),
    path("firm/sign-in/needed/", passkey_views.second_step_needed, name="second-step-needed"),
    path("firm/sign-in/required/", passkey_views.second_step_required, name="second-step-required"),
    path("firm/sign-in/passkeys/new/", passkey_views.passkey_new, name="passkey-new"),
    path("firm/sign-in/passkeys/new/options/", passkey_views.new_options, name="passkey-new-options"),
    path("firm/sign-in/passkeys/<int:passkey_id>/", passkey_views.passkey_remove, name="passkey-remove"),
    path("firm/sign-in/email/", views.change_email, name="account-email"),
]
