"""What is typed to take a backup away."""

from django import forms

from account.forms import OwnPasswordForm

LEAST_LETTERS = 12


class PassphraseForm(OwnPasswordForm):
    """A passphrase for a backup that is taken away, typed twice; left empty, it isn't encrypted."""

    passphrase = forms.CharField(
        label="Passphrase",
        required=False,
        strip=False,
        max_length=200,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text="Whoever has the file needs it to open it, you too. Without one anybody can read the file.",
    )
    again = forms.CharField(
        label="The same once more",
        required=False,
        strip=False,
        max_length=200,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )

    def clean_passphrase(self) -> str:
        typed: str = self.cleaned_data["passphrase"]
        if typed and len(typed) < LEAST_LETTERS:
            raise forms.ValidationError(
                f"That is short enough to be guessed. Take {LEAST_LETTERS} letters or more: four words."
            )
        return typed

    def clean_again(self) -> str:
        again: str = self.cleaned_data["again"]
        if again != self.cleaned_data.get("passphrase", again):
            raise forms.ValidationError("The two differ. Type the passphrase again in both fields.")
        return again
