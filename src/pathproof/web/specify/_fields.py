"""Forms made of the job file's models: labels, units, help and choices come from the models."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from types import MappingProxyType, NoneType, UnionType
from typing import Annotated, Any, Final, Union, get_args, get_origin

from django import forms
from django.forms.utils import flatatt
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from pydantic import BaseModel

from pathproof.web.saying import word_of

Choices = Sequence[tuple[str, str]]

UNITS: Final = MappingProxyType(
    {"m": "m", "s": "s", "years": "years", "degc": "°C", "h": "h", "db": "dB", "ah": "Ah"}
)
_MOST_OPTIONS: Final = 60
"""Longer lists are searched by typing."""
_SAY_NOTHING: Final = (
    *("Catalogue entry.", "Catalogue entry of the cable.", "What people call it."),
    *("Length.", "Straight distance.", "Date of fitting.", "Floors on the way."),
)
_REQUIRED: Final = {"required": "Nothing was given; this has to be filled in."}
_UNIT_IN_HELP: Final = re.compile(r" \[[^\]]*\]$")
_ITEM_ID: Final = re.compile(r" \([^()]*\)(?=\.|$)")
_ITEM_NUMBER: Final = re.compile(r"\[(\d+)\]")
_ITEM_BY_ID: Final = re.compile(r"\[\d+\] \(([^()]*)\)")


@dataclass(frozen=True, kw_only=True)
class Rows:
    """Several lines of the same fields, which become a list of objects.

    With `as_map` the first field names an item of an object and the second is its value.
    """

    path: str
    names: tuple[str, ...]
    as_map: bool = False

    def collect(self, lines: Iterable[Mapping[str, Any]]) -> Any:
        """What the filled lines are in the job file."""
        filled = [line for line in lines if line]
        if not self.as_map:
            return filled
        key, value = self.names
        return {line.get(key, ""): line.get(value, 1) for line in filled}


@dataclass(frozen=True, kw_only=True)
class Shape:
    """The fields of one form, by their place in the piece that it is about."""

    fields: Mapping[str, forms.Field]
    rows: tuple[Rows, ...] = ()
    lines: Mapping[str, int] = field(default_factory=dict)
    """How many lines each of the rows has, by its path."""


class BareInput(forms.TextInput):
    """A box for text, drawn without a template of its own: a page may hold hundreds."""

    def render(
        self, name: str, value: Any, attrs: dict[str, Any] | None = None, renderer: Any = None
    ) -> SafeString:
        """The box."""
        shown = self.format_value(value)
        given = {} if shown is None else {"value": shown}
        own = self.build_attrs(self.attrs, attrs)
        return format_html("<input{}>", flatatt({"type": "text", "name": name, **given, **own}))


class SearchInput(BareInput):
    """A box that searches a long list while somebody types."""

    def __init__(self, choices: Choices) -> None:
        super().__init__({"autocomplete": "off", "spellcheck": "false"})
        self.options = choices

    def render(
        self, name: str, value: Any, attrs: dict[str, Any] | None = None, renderer: Any = None
    ) -> SafeString:
        """The box and the list behind it."""
        list_id = f"list-{(attrs or {}).get('id', name)}"
        box = super().render(name, value, {**(attrs or {}), "list": list_id}, renderer)
        options = format_html_join("", '<option value="{}">{}</option>', self.options)
        return format_html('{}<datalist id="{}">{}</datalist>', box, list_id, options)


class NumberField(forms.CharField):
    """A number, with a point or a comma."""

    widget = BareInput

    def __init__(self, *, whole: bool, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.whole = whole
        self.widget.attrs |= {"inputmode": "numeric" if whole else "decimal"}

    def to_python(self, value: Any) -> Any:
        """The number; None where nothing was given."""
        text = str(value or "").strip().replace(",", ".").replace("\u2212", "-")
        if not text:
            return None
        try:
            return int(text) if self.whole else float(text)
        except ValueError:
            allowed = "a whole number, such as 3" if self.whole else "a number, such as 2.5"
            raise forms.ValidationError(f"Given {value!r}; allowed: {allowed}.") from None

    def prepare_value(self, value: Any) -> Any:
        """A stored number without noughts behind."""
        return f"{value:.12g}" if isinstance(value, float) else value


class WordsField(forms.CharField):
    """Several words with commas in between."""

    def to_python(self, value: Any) -> Any:
        """The words in their order."""
        return [w.strip() for w in re.split(r"[,;\n]", str(value or "")) if w.strip()]

    def prepare_value(self, value: Any) -> Any:
        """The words of a list in one line."""
        return ", ".join(value) if isinstance(value, list) else value


def field_of(
    model: type[BaseModel],
    path: str,
    *,
    label: str = "",
    help_text: str | None = None,
    choices: Any = None,
) -> forms.Field:
    """The field for what stands at a path inside a model; blank means the model's default.

    Parameters
    ----------
    model : type
        A model of the job file.
    path : str
        Names of fields with dots between; a number or a key stands for an item.
    label, help_text : str
        Instead of what the model's own names and texts give.
    choices : sequence of (str, str), optional
        Values with their words, where only some are allowed.
    """
    kind, info = _kind_at(model, path)
    needed = info.is_required() and "." not in path
    words, unit = _label(path.rpartition(".")[2])
    said: dict[str, Any] = {
        "label": label or (f"{words} ({unit})" if unit else words),
        "help_text": _hint(info.description or "") if help_text is None else help_text,
        "required": needed,
        "error_messages": _REQUIRED,
    }
    if choices is not None and get_origin(kind) is not list:
        return _chosen(choices, said)
    if get_origin(kind) is list:
        return _several(get_args(kind)[0], choices, said)
    if kind is bool:
        return forms.BooleanField(**{**said, "required": False})
    if kind is date:
        return forms.CharField(**said, widget=forms.TextInput({"type": "date"}))
    if issubclass(kind, StrEnum):
        return _chosen([(str(x), plain(x)) for x in kind], said)
    if kind in (int, float):
        return _number(kind is int, info.default, said)
    return forms.CharField(**said)


class PieceForm(forms.Form):
    """One piece of the site; what the form does not ask for stays as it is."""

    def __init__(
        self, shape: Shape, content: Mapping[str, Any], data: Any = None, *, name: str = "id"
    ) -> None:
        initial = {path: _found(content, path, shape.rows) for path in shape.fields}
        super().__init__(data, initial=initial, auto_id=f"{name}_%s")
        self.shape = shape
        self.fields.update(shape.fields)

    def put_into(self, content: Mapping[str, Any]) -> dict[str, Any]:
        """The piece's content with what was typed in it."""
        made: dict[str, Any] = _copied(content)
        for path, value in self.cleaned_data.items():
            if not any(path.startswith(f"{rows.path}.") for rows in self.shape.rows):
                _put(made, path.split("."), value)
        for rows in self.shape.rows:
            _put(made, rows.path.split("."), rows.collect(self._lines(rows)))
        return made

    def _lines(self, rows: Rows) -> Iterable[dict[str, Any]]:
        for i in range(self.shape.lines[rows.path]):
            typed = {name: self.cleaned_data.get(f"{rows.path}.{i}.{name}") for name in rows.names}
            yield {name: value for name, value in typed.items() if value not in ("", None)}

    def blame(self, text: str, at: str) -> None:
        """Put each line of an error beside the field that it names, the others above the form.

        Parameters
        ----------
        text : str
            What a `JobError` says.
        at : str
            Field of the site that the piece stands in.
        """
        for line in text.splitlines():
            path, colon, said = line.strip().partition(": ")
            by_id = _inside(_ITEM_BY_ID.sub(r".\1", path), at)
            name = by_id if by_id in self.fields else _inside(path, at)
            if colon and name in self.fields:
                self.add_error(name, _sentence(said))
            elif not line.endswith(":"):
                self.add_error(None, _sentence(line))


def plain(word: str) -> str:
    """A word of a vocabulary as people read it."""
    return word_of(word)


def _kind_at(model: type[BaseModel], path: str) -> tuple[Any, Any]:
    """Type at a path, and the field that tells of it."""
    kind: Any = model
    info: Any = None
    for step in path.split("."):
        if get_origin(kind) in (list, dict):
            kind = _bare(get_args(kind)[-1])
        else:
            info = kind.model_fields[step]
            kind = _bare(info.annotation)
    return kind, info


def _bare(kind: Any) -> Any:
    """A type without its constraints and without None."""
    if get_origin(kind) is Annotated:
        return _bare(get_args(kind)[0])
    if get_origin(kind) in (Union, UnionType):
        return _bare(next(x for x in get_args(kind) if x is not NoneType))
    return kind


def _hint(description: str) -> str:
    """A field's own text, where it says more than its label."""
    said = _UNIT_IN_HELP.sub("", description)
    return "" if said in _SAY_NOTHING else said.replace("True when", "Tick it when")


def _label(name: str) -> tuple[str, str]:
    words, _, suffix = name.rpartition("_")
    named, unit = (words, UNITS[suffix]) if words and suffix in UNITS else (name, "")
    return plain(named).capitalize(), unit


def _chosen(choices: Choices, said: dict[str, Any]) -> forms.Field:
    if len(choices) > _MOST_OPTIONS:
        return forms.CharField(**said, widget=SearchInput(choices))
    empty = "choose one" if said["required"] else "not said"
    return forms.ChoiceField(**said, choices=[("", empty), *choices])


def _several(kind: Any, choices: Choices | None, said: dict[str, Any]) -> forms.Field:
    bare = _bare(kind)
    if choices is None and isinstance(bare, type) and issubclass(bare, StrEnum):
        choices = [(str(x), plain(x)) for x in bare]
    if choices is None:
        return WordsField(**said)
    return forms.MultipleChoiceField(**said, choices=choices, widget=forms.CheckboxSelectMultiple)


def _number(whole: bool, default: Any, said: dict[str, Any]) -> forms.Field:
    made = NumberField(whole=whole, **said)
    if isinstance(default, int | float):
        made.widget.attrs["placeholder"] = f"{default:g} unless given"
    return made


def _found(content: Any, path: str, rows: Iterable[Rows]) -> Any:
    """What a piece holds at a path; of rows that are a mapping, its keys and values."""
    for group in rows:
        if group.as_map and path.startswith(f"{group.path}."):
            number, name = path.removeprefix(f"{group.path}.").split(".")
            items = list((_at(content, group.path.split(".")) or {}).items())
            if int(number) >= len(items):
                return None
            return items[int(number)][group.names.index(name)]
    return _at(content, path.split("."))


def _at(content: Any, steps: Sequence[str]) -> Any:
    for step in steps:
        if isinstance(content, list):
            content = content[int(step)] if int(step) < len(content) else None
        elif isinstance(content, Mapping):
            content = content.get(step)
        else:
            return None
    return content


def _put(content: dict[str, Any], steps: Sequence[str], value: Any) -> None:
    """Put a value in; nothing given takes it out, and with it what is left empty around it."""
    first, *rest = steps
    if rest:
        inner = content.setdefault(first, {})
        _put(inner, rest, value)
        value = inner
    if value is None or value is False or value == "" or value == [] or value == {}:
        content.pop(first, None)
    else:
        content[first] = value


def _copied(content: Any) -> Any:
    if isinstance(content, Mapping):
        return {key: _copied(item) for key, item in content.items()}
    return [_copied(item) for item in content] if isinstance(content, list) else content


def _inside(path: str, at: str) -> str:
    """A path as errors write it, as the name of a field of the piece's form."""
    dotted = _ITEM_NUMBER.sub(r".\1", _ITEM_ID.sub("", path)).removeprefix("site.")
    if at:
        dotted = re.sub(rf"^{re.escape(at)}(\.\d+)?(\.|$)", "", dotted)
    return dotted


def _sentence(text: str) -> str:
    said = text.strip()
    said = said[:1].upper() + said[1:]
    return said if said.endswith((".", "!", "?")) else f"{said}."
