"""Forms about accounts."""

from django import forms
from django.contrib.auth.password_validation import validate_password

from pathproof.web.people.models import Person


class NewAccount(forms.ModelForm):
    """A new account; the password is typed once and can be shown."""

    password = forms.CharField(
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text="10 characters or more; three or four words are easy to remember.",
    )

    class Meta:
        model = Person
        fields = ["name", "username", "role"]
        help_texts = {
            "name": "As it is to stand on papers and in the record.",
            "username": "What you type to sign in.",
        }

    def clean_password(self) -> str:
        password: str = self.cleaned_data["password"]
        validate_password(password, self.instance)
        return password


class FirstAccount(NewAccount):
    """The first account, which is the office's."""

    class Meta(NewAccount.Meta):
        fields = ["name", "username"]
