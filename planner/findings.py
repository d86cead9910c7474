"""What a check or a house rule has to say about a plate, as a sentence that a tradesman can act on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

from shapely.geometry.base import BaseGeometry

Severity: TypeAlias = Literal["stop", "warn", "note"]

SEVERITIES: Final[tuple[Severity, ...]] = ("stop", "warn", "note")
"""``stop`` must be cured before film is wetted; ``warn`` wants a look; ``note`` is good to know."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One finding about a plate, a flat or the day.

    ``code`` is stable and never used again for something else (``coverage.short``). ``message`` says what is wrong and
    by how much, ``cure`` what would put it right. ``shape`` is where, in the plate's own frame (inches, origin at the
    lower left of the plate's bounding rectangle). ``amount`` is the figure behind it, in ``unit``.
    """

    code: str
    severity: Severity
    message: str
    cure: str = ""
    amount: float | None = None
    unit: Literal["in", "sq in", "deg", ""] = ""
    shape: BaseGeometry | None = None
    sided: bool = False
    """Whether the words name sides; for a plate that lies turned the plan then says which side is where."""
    plate: str | None = None
    """Id of the plate it is about, where that does not go without saying."""
    flat: int | None = None
    """Number of the flat it is about, where that does not go without saying; its shape is then in the flat's frame."""

    @classmethod
    def over(
        cls, shape: BaseGeometry, code: str, severity: Severity, message: str, cure: str, sided: bool = False
    ) -> Finding:
        """Make a finding about an area: its amount is the area in square inches."""
        return cls(code, severity, message, cure, amount=shape.area, unit="sq in", shape=shape, sided=sided)
