"""The form in which the owner changes the password."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.forms import AuthenticationForm, PasswordChangeForm

LABELS = {"old_password": "Password now", "new_password1": "New password", "new_password2": "New password once more"}

HELP = {"new_password1": "At least 8 characters; not your name, and none of those that many people use."}


class EnterForm(AuthenticationForm):
    """Name and password."""

    error_messages = {  # noqa: RUF012
        **AuthenticationForm.error_messages,
        "invalid_login": "Name and password do not go together. Capital and small letters count in both.",
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["username"].label = "Your name"


class PasswordForm(PasswordChangeForm):
    """The old password once, the new one twice."""

    error_messages = {  # noqa: RUF012
        **PasswordChangeForm.error_messages,
        "password_incorrect": "This is not the password of now. Write it again.",
        "password_mismatch": "The two new ones differ. Write the same one twice.",
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, label in LABELS.items():
            self.fields[name].label, self.fields[name].help_text = label, HELP.get(name, "")

    def save(self, commit: bool = True) -> Any:
        """Write the password and no other column."""
        user = super().save(commit=False)
        if commit:
            user.save(update_fields=["password"])
        return user

    def clean_new_password2(self) -> str:
        """As Django checks it, and another one than now."""
        new = str(self.cleaned_data.get("new_password2") or "")
        if new and new == self.cleaned_data.get("old_password"):
            self.add_error("new_password1", "This is the password of now. Choose another one.")
        return new
