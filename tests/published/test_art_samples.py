"""Sample pictures that lie in scikit-image's wheel as real copy: areas by scikit-image's and SciPy's own measures.

The pictures are `skimage.data.horse` (a silhouette), `page` (a scanned page) and `text` (a photograph of type), all
bundled, none fetched.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from PIL import Image
from scipy import ndimage
from skimage import data, measure, morphology

from planner.artwork import Artwork, Asked, read_art

WIDTH = 3.0


def read(tmp_path: Path, picture: NDArray[np.uint8], **asked: object) -> tuple[Artwork, float]:
    """Read a picture as copy 3 in wide; give what was read, and its elements to the inch."""
    per_inch = picture.shape[1] / WIDTH
    path = tmp_path / "copy.png"
    Image.fromarray(picture).save(path)
    size = (WIDTH, picture.shape[0] / per_inch)
    values: dict[str, object] = {"kind": "line", "size": size, "copy_size": size, **asked}
    return read_art(path, Asked(**values)), per_inch  # type: ignore[arg-type]


def grey(picture: NDArray[np.generic]) -> NDArray[np.uint8]:
    return np.asarray(picture.astype(np.uint8) * (255 if picture.dtype == bool else 1), dtype=np.uint8)


def test_the_horse_as_line_copy(tmp_path: Path) -> None:
    picture = grey(data.horse())
    art, per_inch = read(tmp_path, picture)
    (horse,) = measure.regionprops(measure.label(picture == 0, connectivity=2))
    assert art.area == pytest.approx(horse.area / per_inch**2, rel=1e-9)
    assert art.resolution == pytest.approx(per_inch)
    assert art.error > 1 / 500
    # Its outline: the image is at most a little larger than the elements, and closes what the disc cannot enter.
    disc = morphology.disk(round(per_inch / 32))
    closed = morphology.closing(np.pad(picture == 0, 40), disc)
    assert art.image.area == pytest.approx(closed.sum() / per_inch**2, abs=horse.perimeter / per_inch / per_inch)


def test_the_horse_grown_by_a_clearance(tmp_path: Path) -> None:
    picture = grey(data.horse())
    distances = (1 / 16, 1 / 8)
    art, per_inch = read(tmp_path, picture, distances=distances)
    fine = np.kron(np.pad(picture, 20, constant_values=255), np.ones((6, 6), np.uint8))
    # To the side of the nearest element: at least half a fine element less than to its middle.
    field = ndimage.distance_transform_edt(fine != 0) / (6 * per_inch)
    for distance in distances:
        within = np.count_nonzero(field < distance) / (6 * per_inch) ** 2
        growth = art.growths[distance]
        assert growth.area > within - growth.length * 0.5 / (6 * per_inch)
        assert growth.area < within + growth.length * 1.0 / per_inch


def test_the_horse_as_a_silhouette_with_a_saddle_cut_out(tmp_path: Path) -> None:
    picture = grey(data.horse())
    rows, columns = ndimage.center_of_mass(picture == 0)
    picture[int(rows) - 10 : int(rows) + 10, int(columns) - 15 : int(columns) + 15] = 255
    filled = ndimage.binary_fill_holes(picture == 0)
    art, per_inch = read(tmp_path, picture, kind="silhouette")
    assert np.count_nonzero(filled) - np.count_nonzero(picture == 0) >= 600
    assert art.area == pytest.approx(np.count_nonzero(filled) / per_inch**2, rel=1e-9)
    line, _ = read(tmp_path, picture)
    assert line.area == pytest.approx(np.count_nonzero(picture == 0) / per_inch**2, rel=1e-9)


@pytest.mark.parametrize(("name", "threshold"), [("page", 0.5), ("page", 0.35), ("text", 0.35)])
def test_scans_as_line_copy(tmp_path: Path, name: str, threshold: float) -> None:
    picture = grey({"page": data.page, "text": data.text}[name]())
    art, per_inch = read(tmp_path, picture, threshold=threshold, closing=1 / 32)
    dark = picture < threshold * 255
    perimeter = measure.perimeter(np.pad(dark, 1)) / per_inch
    assert art.area == pytest.approx(np.count_nonzero(dark) / per_inch**2, abs=0.25 * perimeter / per_inch)
    assert shapely.box(-0.01, -0.01, WIDTH + 0.01, art.size[1] + 0.01).covers(art.image)
    assert art.image.area >= art.area
    # Nearly every dark element lies in the image; those that do not lie at its edge.
    rows, columns = np.nonzero(dark)
    inside = shapely.contains_xy(art.image, (columns + 0.5) / per_inch, art.size[1] - (rows + 0.5) / per_inch)
    assert inside.all()


def test_light_type_on_a_dark_ground(tmp_path: Path) -> None:
    picture = 255 - grey(data.page())
    plain, _ = read(tmp_path, 255 - picture)
    turned, _ = read(tmp_path, picture, light_on_dark=True)
    assert turned.path == plain.path
    assert turned.area == plain.area
