"""Which part of the copy lands where on the plate, and at what percentage?

One proportion holds for both dimensions (see `planner.proportion`): the camera enlarges or reduces, it never stretches.
Copy that comes within 1/64 in of its place at reproduction size fits; it is put in the middle, and nothing is cut off.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal

from planner.artwork.measures import LONGEST_COPY, Measure
from planner.artwork.records import ArtError, Asked, Mismatch
from planner.orders import SideName
from planner.proportion import LARGEST, SMALLEST

FITS: Final = 1 / 64
"""Inches at reproduction size; sizes are given as people read them off a rule."""


@dataclass(frozen=True, slots=True)
class Window:
    """The part of the copy that is used and where it lands.

    ``left``, ``right``, ``top`` and ``bottom`` are shares of the whole copy's width and height, counted from its upper
    left corner; ``at`` is the lower left corner of the image in inches, ``size`` its width and height there.
    """

    left: float
    top: float
    right: float
    bottom: float
    at: tuple[float, float]
    size: tuple[float, float]

    @property
    def whole(self) -> tuple[float, float]:
        """Width and height of the whole copy at reproduction size, in inches."""
        return self.size[0] / (self.right - self.left), self.size[1] / (self.bottom - self.top)


@dataclass(frozen=True, slots=True)
class Framing:
    """Copy, crop (left, right, bottom, top, inches of the copy), linear percentage, and the window they make."""

    copy_size: tuple[float, float]
    copy_size_from: Literal["file", "order"]
    crop: tuple[float, float, float, float]
    percentage: float
    mismatch: Mismatch | None
    window: Window


def framed(measure: Measure, asked: Asked) -> Framing:
    """Work out crop and percentage.

    With amounts to crop, what is left is fitted as any copy is: should it still be of another proportion, the rest
    comes off evenly and `Framing.mismatch` says so, in amounts to take off as well.

    Raises:
        ArtError: there is no copy size, it would distort the art, the crop leaves nothing, or no camera goes so far.
    """
    width, height = asked.size
    copy_width, copy_height = _copy_size(measure, asked)
    told: Mapping[SideName, float] = asked.crop if asked.crop is not None and asked.crop != "even" else {}
    left, right = told.get("left", 0.0), told.get("right", 0.0)
    bottom, top = told.get("bottom", 0.0), told.get("top", 0.0)
    used_width, used_height = copy_width - left - right, copy_height - bottom - top
    if min(used_width, used_height) <= 0:
        raise ArtError(
            f"is {copy_width:.3f} x {copy_height:.3f} in before the camera, and crop leaves nothing of it; "
            f"crop less than that"
        )
    mismatch = None
    scale = min(width / used_width, height / used_height)
    if max(width - used_width * scale, height - used_height * scale) > FITS:
        scale = max(width / used_width, height / used_height)
        across, up = (used_width - width / scale) / 2, (used_height - height / scale) / 2
        if asked.crop != "even":
            off: dict[SideName, float] = {"left": across, "right": across} if across > up else {"bottom": up, "top": up}
            mismatch = Mismatch(off, (used_width * scale, used_height * scale))
        across, up = max(across, 0.0), max(up, 0.0)
        left, right, bottom, top = left + across, right + across, bottom + up, top + up
        used_width, used_height = copy_width - left - right, copy_height - bottom - top
    if not SMALLEST <= 100 * scale <= LARGEST:
        raise ArtError(
            f"would be shot at {100 * scale:.4g} %, which is beyond any camera ({SMALLEST:g} to {LARGEST:g} %); "
            f"see to the size of the copy (key copy_size)"
        )
    image = (min(used_width * scale, width), min(used_height * scale, height))
    window = Window(
        left / copy_width,
        top / copy_height,
        1 - right / copy_width,
        1 - bottom / copy_height,
        ((width - image[0]) / 2, (height - image[1]) / 2),
        image,
    )
    source: Literal["file", "order"] = "file" if asked.copy_size is None else "order"
    return Framing(
        (copy_width, copy_height), source, (left, right, bottom, top), 100 * scale, mismatch, window
    )  # fmt: skip


def _copy_size(measure: Measure, asked: Asked) -> tuple[float, float]:
    if asked.copy_size is None:
        if measure.inches is None:
            raise ArtError(
                f"{measure.missing}; give the size of the copy with the key copy_size, like "
                f'copy_size = "{_example(measure.proportion)}"'
            )
        size = measure.inches
    else:
        size = asked.copy_size
        across, up = measure.proportion
        scale = min(size[0] / across, size[1] / up)
        enlarged = min(asked.size[0] / size[0], asked.size[1] / size[1])
        if max(size[0] - across * scale, size[1] - up * scale) * max(enlarged, 1.0) > FITS:
            raise ArtError(
                f"would be distorted by its copy_size of {size[0]:.3f} x {size[1]:.3f} in; by its own proportion "
                f"it is {size[0]:.3f} x {size[0] * up / across:.3f} in, or {size[1] * across / up:.3f} x "
                f"{size[1]:.3f} in"
            )
        size = (across * scale, up * scale)
    if max(size) > LONGEST_COPY:
        raise ArtError(
            f"would be {size[0]:.6g} x {size[1]:.6g} in before the camera, and nothing over {LONGEST_COPY:g} in fits "
            f"there; see to its units, or give copy_size"
        )
    return size


def _example(proportion: tuple[float, float]) -> str:
    across, up = proportion
    return f"8 x {8 * up / across:.3f} in" if across >= up else f"{8 * across / up:.3f} x 8 in"
