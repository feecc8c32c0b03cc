"""Forms about accounts."""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.contrib.auth import authenticate
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.password_validation import validate_password
from django.http import HttpRequest

from pathproof.web.people.models import Person, Role

_ROLES = "The office may also erase jobs and manage accounts."


class SignInForm(AuthenticationForm):
    """Name and password; whatever is wrong reads the same."""

    error_messages = AuthenticationForm.error_messages | {
        "invalid_login": "No account that may sign in has this name with this password. Capitals "
        "count in both. Type them again."
    }

    @classmethod
    def name_in(cls, data: Mapping[str, str]) -> str:
        """The name as it is looked up, however it was written; empty where it can be none."""
        try:
            return str(cls.base_fields["username"].clean(data.get("username", "")))
        except forms.ValidationError:
            return ""


def _new_password(label: str = "Password") -> forms.CharField:
    return forms.CharField(
        label=label,
        strip=False,
        max_length=200,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text="10 characters or more; three or four words are easy to remember.",
    )


class NewAccount(forms.ModelForm):
    """A new account."""

    password = _new_password()

    class Meta:
        model = Person
        fields: tuple[str, ...] = ("name", "username", "role")
        help_texts = {
            "name": "As it is to stand on papers and in the record.",
            "username": "What is typed to sign in: letters, digits and @ . + - _ without blanks.",
            "role": _ROLES,
        }
        widgets = {
            "name": forms.TextInput(attrs={"autocomplete": "name"}),
            "username": forms.TextInput(
                attrs={"autocomplete": "username", "autocapitalize": "none", "spellcheck": "false"}
            ),
        }

    def clean_username(self) -> str:
        """Nobody has it, however it is written: phones like to begin with a capital."""
        username: str = self.cleaned_data["username"]
        if Person.objects.filter(username__iexact=username).exists():
            raise forms.ValidationError(self.taken())
        return username

    def taken(self) -> str:
        """What to say where somebody has the sign-in name."""
        return f"There is an account {self.data['username']!r} already. Choose another name."

    def clean(self) -> dict[str, Any]:
        """The password fits the person it is for."""
        given: dict[str, Any] = super().clean() or {}
        if "password" in given:
            person = Person(name=given.get("name", ""), username=given.get("username", ""))
            try:
                validate_password(given["password"], person)
            except forms.ValidationError as error:
                self.add_error("password", error)
        return given


class FirstAccount(NewAccount):
    """The first account, which is the office's."""

    class Meta(NewAccount.Meta):
        fields = ("name", "username")


class Account(forms.ModelForm):
    """What the office may change of an account."""

    class Meta:
        model = Person
        fields = ("name", "role", "is_active")
        help_texts = {"role": _ROLES}

    def clean(self) -> dict[str, Any]:
        """Somebody of the office stays."""
        given: dict[str, Any] = super().clean() or {}
        stays = given.get("role") == Role.OFFICE and given.get("is_active")
        others = Person.objects.filter(role=Role.OFFICE, is_active=True).exclude(
            pk=self.instance.pk
        )
        if not stays and not others.exists():
            raise forms.ValidationError(
                "This is the only office account that may sign in, and without one nobody could "
                "manage accounts. Give another account that role first."
            )
        return given


class NewPassword(forms.Form):
    """A new password for an account, set by the office."""

    password = _new_password("New password")

    def __init__(self, person: Person, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.person = person

    def clean_password(self) -> str:
        """It fits the person it is for."""
        password: str = self.cleaned_data["password"]
        validate_password(password, self.person)
        return password


class OwnPassword(NewPassword):
    """A new password of one's own."""

    present_password = forms.CharField(
        label="Present password",
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )
    field_order = ("present_password", "password")

    def __init__(self, *args: Any, request: HttpRequest, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._request = request

    def clean_present_password(self) -> str:
        """It is the one in force; wrong ones count as they do at signing in."""
        present: str = self.cleaned_data["present_password"]
        if authenticate(self._request, username=self.person.username, password=present) is None:
            raise forms.ValidationError("This is not your present password. Type it again.")
        return present
