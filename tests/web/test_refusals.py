"""What Django checks is refused in the app's sentences."""

import pytest
from django import forms
from django.contrib.auth.validators import UnicodeUsernameValidator

from pathproof.web.refusals import sentences


class Asked(forms.Form):
    username = forms.CharField(max_length=10, validators=[UnicodeUsernameValidator()])
    count = forms.IntegerField(min_value=1, max_value=9)
    length_m = forms.FloatField(min_value=0.5)
    floor = forms.ChoiceField(choices=[("g", "Ground")])
    kinds = forms.MultipleChoiceField(choices=[("a", "A")])
    on = forms.DateField(error_messages={"invalid": "Our own sentence."})
    file = forms.FileField()


GOOD = {"username": "tom", "count": "2", "length_m": "1", "floor": "g", "kinds": ["a"],
        "on": "2026-11-25"}  # fmt: skip


def said(name: str, value: object) -> str:
    form = Asked({**GOOD, name: value}, {})
    return " ".join(sentences(form[name]))


@pytest.mark.parametrize(
    ("name", "value", "sentence"),
    [
        ("username", "", "Nothing was given; this has to be filled in."),
        ("username", "with blank",
         "“with blank” was given; allowed: letters, digits and @ . + - _ without blanks. Type it "
         "again."),
        ("username", "twelve-letter",
         "13 characters were given; allowed: 10 or fewer. Shorten it."),
        ("count", "two", "“two” was given; allowed: a whole number, such as 5. Type it again."),
        ("count", "0", "“0” was given; allowed: 1 or more. Give another value."),
        ("count", "10", "“10” was given; allowed: 9 or less. Give another value."),
        ("length_m", "far", "“far” was given; allowed: a number, such as 2.5. Type it again."),
        ("length_m", "0.25", "“0.25” was given; allowed: 0.5 or more. Give another value."),
        ("floor", "", "Nothing was chosen. Choose one from the list."),
        ("floor", "z", "“z” was given, which is not on the list. Choose one from the list."),
        ("kinds", ["z"], "“z” was given, which is not on the list. Choose one from the list."),
        ("on", "soon", "Our own sentence."),
        ("file", "", "No file was given. Choose one."),
    ],
)  # fmt: skip
def test_a_sentence_says_given_allowed_and_what_to_do(name, value, sentence):
    assert said(name, value) == sentence


def test_what_is_right_has_no_sentence():
    assert said("count", "3") == ""


def test_a_long_value_is_cut():
    assert said("count", "9" * 80 + "x").startswith(f"“{'9' * 40}” was given")
