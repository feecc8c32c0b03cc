"""Form fields for what is measured: numbers with a comma or a point, and their units."""

from typing import Any

from django import forms


class Decimal(forms.FloatField):
    """A figure; a comma is as good as a point."""

    def __init__(self, *, label: str, unit: str = "", example: str = "1.5", **kwargs: Any) -> None:
        super().__init__(
            label=f"{label} ({unit})" if unit else label,
            required=kwargs.pop("required", False),
            widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
            **kwargs,
        )
        self._allowed = f"a number alone, in {unit}" if unit else "a number alone"
        self._example = example

    def to_python(self, value: Any) -> Any:
        given = value
        if isinstance(value, str):
            value = value.strip().replace(",", ".").replace("\N{MINUS SIGN}", "-")
        try:
            return super().to_python(value)
        except forms.ValidationError as error:
            raise forms.ValidationError(
                f"This is no number: {str(given)[:40]!r}; allowed: {self._allowed}, written like "
                f"{self._example}."
            ) from error


class Whole(forms.IntegerField):
    """A whole number."""

    def __init__(self, *, label: str, example: str = "5", **kwargs: Any) -> None:
        super().__init__(
            label=label,
            required=kwargs.pop("required", False),
            widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
            error_messages={"invalid": f"This is no whole number; write it as {example}."},
            **kwargs,
        )


class Tick(forms.BooleanField):
    """Something that was so; not ticked, nobody said, so that a test that failed still counts."""

    def __init__(self, *, label: str, **kwargs: Any) -> None:
        super().__init__(label=label, required=False, **kwargs)

    def clean(self, value: Any) -> bool | None:
        """True, or none."""
        return super().clean(value) or None


class Lines(forms.CharField):
    """Text of several lines, kept to the letter."""

    def __init__(self, *, label: str, rows: int = 4, **kwargs: Any) -> None:
        attrs = {"rows": rows, "autocomplete": "off", "spellcheck": "false"}
        super().__init__(label=label, strip=False, widget=forms.Textarea(attrs=attrs), **kwargs)


class TimeOfDay(forms.CharField):
    """A time of day with seconds, as text."""

    def __init__(self, *, label: str, **kwargs: Any) -> None:
        attrs = {"type": "time", "step": "1"}
        super().__init__(label=label, required=False, widget=forms.TextInput(attrs=attrs), **kwargs)
