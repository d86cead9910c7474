"""Art on the sheets: written once, in its place, right for the stripper, turned over on the metal, within its plate."""

from __future__ import annotations

import io
import re
import xml.etree.ElementTree as ET
from collections.abc import Callable

import numpy as np
import pytest
import resvg_py
from defusedxml.ElementTree import fromstring
from numpy.typing import NDArray
from PIL import Image
from shapely import box
from shapely.geometry.base import BaseGeometry

from planner.geometry import grown, plain, shape_of
from planner.plan import ArtRecord, Plan
from planner.sheets.folder import sheet_files

SVG = "{http://www.w3.org/2000/svg}"
LINK = "{http://www.w3.org/1999/xlink}href"
DPI = 60
NUMBER = r"-?\d+(?:\.\d+)?"
Maker = Callable[..., Plan]
UNIT = 1 / 600


def _path(shape: BaseGeometry) -> str:
    rings = [ring for polygon in plain(shape) for ring in polygon]
    return "".join("M" + "L".join(f"{round(x / UNIT)} {round(y / UNIT)}" for x, y in ring) + "z" for ring in rings)


def _record(shape: BaseGeometry, size: tuple[float, float], **more: object) -> ArtRecord:
    given = {
        "id": "a", "file": "a.svg", "page": None, "digest": "0" * 64, "kind": "line", "threshold": 0.5,
        "light_on_dark": False, "mirrored": False, "copy_size": size, "crop": (0, 0, 0, 0), "size": size,
        "percentage": 100.0, "resolution": 600.0, "error": 0.002, "area": shape.area, "unit": UNIT,
        "path": _path(shape),
    }  # fmt: skip
    return ArtRecord.model_validate(given | more)


def _with(plan: Plan, record: ArtRecord, **film: object) -> Plan:
    """The same art on the first film of every plate."""
    (flat,) = plan.flats
    placements = []
    for placement in flat.placements:
        left, bottom, *_ = shape_of(placement.outline).bounds
        told = {"art": record.id, "art_transform": (1.0, 0.0, 0.0, 1.0, left, bottom), **film}
        films = (placement.films[0].model_copy(update=told), *placement.films[1:])
        placements.append(placement.model_copy(update={"films": films}))
    return plan.model_copy(
        update={"art": (record,), "flats": (flat.model_copy(update={"placements": tuple(placements)}),)}
    )


def _uses(text: str) -> list[ET.Element]:
    return list(fromstring(text).iter(f"{SVG}use"))


def _only(text: str, layer: str) -> NDArray[np.bool_]:
    root = fromstring(text)
    for parent in list(root.iter()):
        for child in list(parent):
            name = child.get("id", "")
            if (name.startswith("layer-") and name != layer) or child.tag == f"{SVG}text":
                parent.remove(child)
    png = resvg_py.svg_to_bytes(svg_string=ET.tostring(root, encoding="unicode"), dpi=DPI, background="#ffffff")
    return np.asarray(Image.open(io.BytesIO(png)).convert("L")) < 128


def _on_page(text: str, x: float, y: float) -> tuple[float, float]:
    work = next(group for group in fromstring(text).iter(f"{SVG}g") if group.get("id") == "work")
    a, _, _, d, across, down = map(float, re.findall(NUMBER, work.get("transform", "")))
    return a * x + across, d * y + down


def test_art_is_written_once_on_a_sheet_however_often_it_is_shown(build: Maker, art: Callable[..., object]) -> None:
    shape = grown(box(1, 1, 1.5, 1.5), 0.6)
    plates = [art("J1", "n", (2.5, 2.5), "line", shape, copy=(copy, 3)) for copy in (1, 2, 3)]
    record = _record(shape, (2.5, 2.5))
    files = sheet_files(_with(build([(3.5, plates)]), record))
    for text in (files["flat-01-stripper.svg"], files["flat-01-metal.svg"]):
        assert text.count(record.path) == 1
        uses = _uses(text)
        assert len(uses) == 3
        ids = {element.get("id") for element in fromstring(text).iter()}
        assert {use.get(LINK, "").removeprefix("#") for use in uses} <= ids
        assert set(re.findall(r"url\(#([^)]*)\)", text)) <= ids


@pytest.mark.parametrize(("number", "words"), [(1, "poster F"), (1, "Rose/red"), (2, "Label F"), (2, "Stamp")])
def test_art_lies_where_its_film_has_it_and_the_metal_shows_its_mirror_image(
    routed: Plan, routed_files: dict[str, str], number: int, words: str
) -> None:
    flat = routed.flats[number - 1]
    place, placement = next((place, one) for place, one in enumerate(flat.placements, start=1) if words in one.plate)
    film = placement.films[0]
    seen = {}
    for kind in ("stripper", "metal"):
        text = routed_files[f"flat-0{number}-{kind}.svg"]
        image = _only(text, "layer-art") | (_tones(text) if film.kind != "line" else False)
        left, bottom, right, top = shape_of(placement.outline).bounds
        corners = [_on_page(text, left, top), _on_page(text, right, bottom)]
        across, down = min(x for x, _ in corners), min(y for _, y in corners)
        rows, columns = round((top - bottom) * DPI), round((right - left) * DPI)
        first, begin = round(down * DPI), round(across * DPI)
        seen[kind] = image[first : first + rows, begin : begin + columns]
    assert np.mean(seen["stripper"] != np.fliplr(seen["metal"])) < 0.02
    # What is dark is what the art's own outline holds, brought to the flat by the film's transform.
    wanted = _filled(placement.plate, routed, number, place)
    assert np.mean(seen["stripper"] != wanted) < 0.02


def _tones(text: str) -> NDArray[np.bool_]:
    return _only(text.replace("#a6a6a6", "#000000"), "layer-art")


def _filled(plate: str, plan: Plan, number: int, place: int) -> NDArray[np.bool_]:
    """Scan the art's own polygon, point by point, in the frame of the flat."""
    import shapely

    placement = plan.flats[number - 1].placements[place - 1]
    film = placement.films[0]
    record = next(record for record in plan.art if record.id == film.art)
    a, b, c, d, e, f = film.art_transform or (1, 0, 0, 1, 0, 0)
    points: list[tuple[float, float]] = []
    rings: list[list[tuple[float, float]]] = []
    for letter, words in re.findall(r"([Mlz])([^Mlz]*)", record.path):
        if letter == "z":
            rings.append(points)
            continue
        x, y = map(float, words.split())
        if letter == "M":
            points = [(x, y)]
        else:
            points.append((points[-1][0] + x, points[-1][1] + y))
    unit = record.unit
    drawn = shapely.Polygon()
    for ring in rings:
        here = [(a * x * unit + c * y * unit + e, b * x * unit + d * y * unit + f) for x, y in ring]
        drawn = drawn.symmetric_difference(shapely.Polygon(here))
    left, bottom, right, top = shape_of(placement.outline).bounds
    rows, columns = round((top - bottom) * DPI), round((right - left) * DPI)
    xs, ys = np.meshgrid(left + (np.arange(columns) + 0.5) / DPI, top - (np.arange(rows) + 0.5) / DPI)
    return shapely.contains_xy(drawn, xs, ys)


def test_art_is_cut_off_at_the_edge_of_its_plate(build: Maker, art: Callable[..., object]) -> None:
    plan = build([(4.0, [art("J1", "n", (3, 3), "line", box(0, 0, 3, 3))])])
    left, bottom, right, top = shape_of(plan.flats[0].placements[0].outline).bounds
    files = sheet_files(_with(plan, _record(box(-1, -1, 6, 6), (3, 3))))
    for text in (files["flat-01-stripper.svg"], files["flat-01-metal.svg"]):
        dark = np.argwhere(_only(text, "layer-art"))
        ends = [_on_page(text, left, bottom), _on_page(text, right, top)]
        xs, ys = sorted(x for x, _ in ends), sorted(y for _, y in ends)
        assert dark.min(axis=0) / DPI == pytest.approx((ys[0], xs[0]), abs=1.5 / DPI)
        assert (dark.max(axis=0) + 1) / DPI == pytest.approx((ys[1], xs[1]), abs=1.5 / DPI)


@pytest.mark.parametrize(
    ("film", "kind", "hatch"),
    [
        ({}, "art-line", None),
        ({"kind": "silhouette"}, "art-halftone", "image-silhouette"),
        ({"kind": "drop-out"}, "art-halftone", "image-drop-out"),
        ({"use": "surprint"}, "art-surprint", None),
        ({"use": "reverse"}, "art-reverse", None),
    ],
)
def test_art_of_each_kind_has_its_own_look(
    build: Maker, art: Callable[..., object], film: dict[str, str], kind: str, hatch: str | None
) -> None:
    plan = build([(4.0, [art("J1", "n", (3, 3), "line", box(1, 1, 2, 2))])])
    files = sheet_files(_with(plan, _record(box(1, 1, 2, 2), (3, 3)), **film))
    root = fromstring(files["flat-01-stripper.svg"])
    kinds = {element.get("data-kind") or "" for element in root.iter() if element.get("data-kind")}
    assert kind in kinds
    assert {word for word in kinds if word.startswith("image-")} == ({hatch} if hatch else set())
    swatches = {element.get("data-swatch") for element in root.iter()}
    assert kind in swatches


def test_labels_leave_art_open_to_view(build: Maker, art: Callable[..., object]) -> None:
    shape = grown(box(1.99, 1.99, 2.01, 2.01), 1.2)
    plan = _with(build([(5.0, [art("J1", "disc", (4, 4), "line", shape)])]), _record(shape, (4, 4)))
    left, bottom, *_ = shape_of(plan.flats[0].placements[0].outline).bounds
    files = sheet_files(plan)
    for text in (files["flat-01-stripper.svg"], files["flat-01-metal.svg"]):
        grounds = [
            path.get("d", "") for path in fromstring(text).iter(f"{SVG}path")
            if path.get("data-part") == "ground" and path.get("data-label") == "plate"
        ]  # fmt: skip
        assert len(grounds) == 1
        x, y, right, low, _ = (float(value) for value in re.findall(NUMBER, grounds[0]))
        middle = _on_page(text, left + 2, bottom + 2)
        hidden = box(x, y, right, low).intersection(grown(box(*middle, *middle).buffer(1e-6), 1.2))
        assert hidden.area == 0


def test_a_path_that_is_none_does_no_harm(build: Maker, art: Callable[..., object]) -> None:
    plan = build([(4.0, [art("J1", "n", (3, 3), "line", box(1, 1, 2, 2))])])
    for path in ('"/><script>alert(1)</script>', "M0 0l1 1z\x00", ""):
        record = _record(box(1, 1, 2, 2), (3, 3), path=path)
        for text in sheet_files(_with(plan, record)).values():
            names = {element.tag.removeprefix(SVG) for element in fromstring(text).iter()}
            assert names <= {"svg", "title", "desc", "defs", "g", "path", "text", "pattern", "use", "clipPath"}


def test_a_reverse_lies_over_the_hatch_of_its_halftone(build: Maker, art: Callable[..., object]) -> None:
    plan = build([(9.0, [art("J1", "n", (5.5, 6), "square", box(0, 0, 5.5, 6), overlay=("reverse", 0), screen=120)])])
    (flat,) = plan.flats
    base, overlay = flat.placements[0].films
    records = (_record(box(0, 0, 5.5, 6), (5.5, 6)), _record(box(0, 0, 1, 1), (1, 1), id="b"))
    left, bottom, *_ = shape_of(flat.placements[0].outline).bounds
    films = (
        base.model_copy(update={"art": "a", "art_transform": (1, 0, 0, 1, left, bottom)}),
        overlay.model_copy(update={"art": "b", "art_transform": (1, 0, 0, 1, left + 2, bottom + 2)}),
    )
    placements = (flat.placements[0].model_copy(update={"films": films}),)
    day = plan.model_copy(update={"art": records, "flats": (flat.model_copy(update={"placements": placements}),)})
    root = fromstring(sheet_files(day)["flat-01-stripper.svg"])
    kinds = [element.get("data-kind") for element in root.iter() if element.get("data-kind")]
    assert kinds.index("art-halftone") < kinds.index("image-square") < kinds.index("art-reverse")
    assert "image-reverse" not in kinds
