"""Writing a calculation sheet, line by line."""

from collections.abc import Mapping, Sequence

from pathproof.assess.types import Line
from pathproof.calc.sources import Source


class Sheet:
    """Collects the lines of one link; `add` returns a line's id for later lines to need."""

    def __init__(self) -> None:
        self._lines: list[Line] = []

    def add(
        self,
        label: str,
        value: float | str,
        unit: str = "",
        *,
        formula: str = "",
        inputs: Mapping[str, tuple[float | str, str]] | None = None,
        sources: Sequence[Source] = (),
        needs: Sequence[str] = (),
    ) -> str:
        """Add a line and return its id."""
        line_id = str(len(self._lines) + 1)
        self._lines.append(
            Line(
                id=line_id,
                label=label,
                formula=formula,
                inputs=dict(inputs or {}),
                value=value,
                unit=unit,
                sources=tuple(sources),
                needs=tuple(needs),
            )
        )
        return line_id

    @property
    def lines(self) -> tuple[Line, ...]:
        """The sheet so far."""
        return tuple(self._lines)
