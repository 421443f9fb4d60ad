"""Forms for coming in: sign-in name with password, and a password of one's own."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth.forms import AuthenticationForm
from django.core.exceptions import ValidationError

from company.models import User


class SignInForm(AuthenticationForm):
    """Sign-in name and password, checked together."""

    error_messages = {
        "invalid_login": "This sign-in name and password do not belong together. Capital letters "
        "count in the password.",
        "inactive": "This person may no longer sign in; ask the lead.",
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["username"].label = "Sign-in name"
        self.fields["username"].error_messages["required"] = "Write the name you sign in with."
        self.fields["password"].error_messages["required"] = "Write your password."
        if self.is_bound:
            # The list of what is wrong takes the focus instead.
            self.fields["username"].widget.attrs.pop("autofocus", None)


class PasswordForm(forms.Form):
    """A new password, written twice; with the old one where there is one."""

    old = forms.CharField(
        label="The password you have",
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )
    password = forms.CharField(
        label="New password",
        strip=False,
        max_length=200,
        help_text="Ten letters or more. A few words that are only yours do well.",
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )
    again = forms.CharField(
        label="New password, again",
        strip=False,
        max_length=200,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )

    def __init__(self, user: User, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.user = user
        if not user.has_usable_password():
            del self.fields["old"]

    def clean_old(self) -> str:
        old: str = self.cleaned_data["old"]
        if not self.user.check_password(old):
            raise ValidationError("This is not the password you have.")
        return old

    def clean_again(self) -> str:
        again: str = self.cleaned_data["again"]
        if "password" in self.cleaned_data and again != self.cleaned_data["password"]:
            raise ValidationError("The two are not the same.")
        return again
