"""Why a form's field was refused, in a sentence: what was given, what is allowed, what to do.

Forms of the app say so themselves where they check something of their own. Here is what is said
where Django checks, and would say its own.
"""

from collections.abc import Callable, Iterator, Mapping
from typing import Any, Final

from django import forms
from django.contrib.auth.validators import UnicodeUsernameValidator
from django.core import validators
from django.core.exceptions import ValidationError

_LONGEST_GIVEN: Final = 40

_BY_DJANGO: Final = {
    id(message)
    for room in (forms.fields, forms.models)
    for kind in vars(room).values()
    if isinstance(kind, type) and issubclass(kind, forms.Field)
    for message in getattr(kind, "default_error_messages", {}).values()
} | {
    id(kind.message)
    for kind in (*vars(validators).values(), UnicodeUsernameValidator)
    if isinstance(kind, type) and hasattr(kind, "message")
}
"""Messages that come with Django, each of them one object."""

_WRITTEN_AS: Final[tuple[tuple[type[forms.Field], str], ...]] = (
    (forms.FloatField, "a number, such as 2.5"),
    (forms.IntegerField, "a whole number, such as 5"),
    (forms.DateTimeField, "a day and a time"),
    (forms.DateField, "a day"),
    (forms.FileField, "a file"),
)


def sentences(bound: forms.BoundField) -> Iterator[str]:
    """Each problem of a field as a sentence."""
    for error in bound.errors.as_data():
        said = _SAID.get(error.code or "")
        told = error.code in _PASSWORD or id(error.message) in _BY_DJANGO
        yield said(bound, error) if said and told else " ".join(error.messages)


def _required(bound: forms.BoundField, error: ValidationError) -> str:
    if isinstance(bound.field, forms.FileField):
        return "No file was given. Choose one."
    if isinstance(bound.field, forms.ChoiceField):
        return "Nothing was chosen. Choose one from the list."
    return "Nothing was given; this has to be filled in."


def _invalid(bound: forms.BoundField, error: ValidationError) -> str:
    return f"{_given(bound)}; allowed: {_allowed(bound)}. Type it again."


def _allowed(bound: forms.BoundField) -> str:
    if bound.name == "username":
        return "letters, digits and @ . + - _ without blanks"
    for kind, written in _WRITTEN_AS:
        if isinstance(bound.field, kind):
            return written
    return str(bound.help_text).rstrip(".") or "what the label asks for"


def _too_small(bound: forms.BoundField, error: ValidationError) -> str:
    return f"{_given(bound)}; allowed: {_limit(error)} or more. Give another value."


def _too_large(bound: forms.BoundField, error: ValidationError) -> str:
    return f"{_given(bound)}; allowed: {_limit(error)} or less. Give another value."


def _too_long(bound: forms.BoundField, error: ValidationError) -> str:
    length = (error.params or {}).get("show_value", "Too many")
    return f"{length} characters were given; allowed: {_limit(error)} or fewer. Shorten it."


def _no_choice(bound: forms.BoundField, error: ValidationError) -> str:
    return f"{_given(bound)}, which is not on the list. Choose one from the list."


def _no_character(bound: forms.BoundField, error: ValidationError) -> str:
    return "There is a character in it that cannot be kept. Type it again without it."


def _given(bound: forms.BoundField) -> str:
    value = bound.data
    shown = ", ".join(map(str, value)) if isinstance(value, list) else str(value)
    return f"“{shown[:_LONGEST_GIVEN]}” was given"


def _limit(error: ValidationError) -> Any:
    value = (error.params or {}).get("limit_value")
    return f"{value:g}" if isinstance(value, float) else value


def _of_password(text: str) -> Callable[[forms.BoundField, ValidationError], str]:
    return lambda bound, error: text.format(**(error.params or {}))


_PASSWORD: Final = {
    "password_too_short": _of_password(
        "It has fewer than {min_length} characters; allowed: {min_length} or more. Three or four "
        "words are easy to remember."
    ),
    "password_too_common": _of_password(
        "Many people have this password, so it is soon guessed. Choose another, such as three or "
        "four words."
    ),
    "password_entirely_numeric": _of_password(
        "It is digits alone, which are soon guessed. Put words with them."
    ),
    "password_too_similar": _of_password(
        "It is too much like the name or the name to sign in. Choose words that have nothing to do "
        "with them."
    ),
}

_SAID: Final[Mapping[str, Callable[[forms.BoundField, ValidationError], str]]] = {
    "required": _required,
    "missing": _required,
    "empty": lambda bound, error: "The file is empty. Choose another one.",
    "invalid": _invalid,
    "min_value": _too_small,
    "max_value": _too_large,
    "max_length": _too_long,
    "invalid_choice": _no_choice,
    "null_characters_not_allowed": _no_character,
    **_PASSWORD,
}
