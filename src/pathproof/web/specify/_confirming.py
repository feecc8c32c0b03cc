"""The form by which somebody confirms a limit from their own copy."""

from typing import Any

from django import forms

from pathproof.job import Limit
from pathproof.job.record import ConfirmEntry, ConfirmValues
from pathproof.web.specify._fields import PieceForm, Shape, field_of


class ConfirmForm(PieceForm):
    """Who read it in which document and edition, and the value that stands there."""

    def __init__(self, limit: Limit, by: str, data: Any = None) -> None:
        unit = f" ({limit.unit})" if limit.unit else ""
        fields: dict[str, forms.Field] = {
            "document": field_of(ConfirmValues, "document", label="Your document"),
            "edition": field_of(ConfirmValues, "edition", label="Edition of your copy"),
            "value": field_of(ConfirmValues, "value", label=f"The value in your copy{unit}"),
            "by": field_of(ConfirmEntry, "by", label="Who read it"),
        }
        super().__init__(Shape(fields=fields), {"by": by, "document": limit.source.ref}, data)
