"""The form by which somebody confirms a limit from their own copy."""

from typing import Any

from django import forms

from pathproof.job import Limit
from pathproof.job.record import ConfirmValues
from pathproof.web.specify._fields import PieceForm, Shape, field_of


class ConfirmForm(PieceForm):
    """In which document and edition it was read, and the value that stands there.

    Who confirms it is who is signed in, so nobody does in another's name.
    """

    def __init__(self, limit: Limit, data: Any = None) -> None:
        unit = f" ({limit.unit})" if limit.unit else ""
        fields: dict[str, forms.Field] = {
            "document": field_of(ConfirmValues, "document", label="Your document"),
            "edition": field_of(ConfirmValues, "edition", label="Edition of your copy"),
            "value": field_of(ConfirmValues, "value", label=f"The value in your copy{unit}"),
        }
        super().__init__(Shape(fields=fields), {"document": limit.source.ref}, data)
