"""The drawings of a flat are measured: both there, true to the plan, and mirror images of each other."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from planner.proof import Check
from planner.proof.drawing import DrawingFault, read_drawing

from .quick import prove
from .tiny import draw, drawing, tampered, tiny_plan


def views(folder: Path) -> Check:
    return prove(tiny_plan(), folder).checks[-1]


def rewrite(file: Path, old: str, new: str) -> None:
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new), encoding="utf-8")


def swap(folder: Path) -> None:
    stripper, metal = folder / "flat-01-stripper.svg", folder / "flat-01-metal.svg"
    first, second = stripper.read_text(encoding="utf-8"), metal.read_text(encoding="utf-8")
    stripper.write_text(second, encoding="utf-8")
    metal.write_text(first, encoding="utf-8")


def stripper(old: str, new: str) -> Callable[[Path], None]:
    return lambda folder: rewrite(folder / "flat-01-stripper.svg", old, new)


def metal(old: str, new: str) -> Callable[[Path], None]:
    return lambda folder: rewrite(folder / "flat-01-metal.svg", old, new)


def regroup(change: Callable[[str], str]) -> Callable[[Path], None]:
    def write(folder: Path) -> None:
        text = drawing(tiny_plan(), mirrored=False, within=change)
        (folder / "flat-01-stripper.svg").write_text(text, encoding="utf-8")

    return write


def first_of(groups: str) -> str:
    return groups.split("</g>", maxsplit=1)[0] + "</g>"


SPOILINGS: list[tuple[str, str, Callable[[Path], object]]] = [
    ("the views swapped", "is not drawn for the stripper where the plan has it", swap),
    ("nothing mirrored", "mirror image", metal("matrix(-1 0 0 -1", "matrix(1 0 0 -1")),
    ("turned by half instead of mirrored", "mirror image", metal("matrix(-1 0 0 -1", "matrix(-1 0 0 1")),
    ("a drawing missing", "flat-01-metal.svg is not there", lambda folder: (folder / "flat-01-metal.svg").unlink()),
    ("a plate missing", "plate 2041/B is drawn 0 times", stripper('data-plate="2041/B"', "")),
    ("a plate twice", "plate 2041/A is drawn 2 times", regroup(lambda groups: groups + first_of(groups))),
    ("a strange plate", "draws plate 2041/Z", metal("2041/B", "2041/Z")),
    ("a plate moved", "plate 2041/A: its outline is not drawn", stripper("M0.75000 0.75000", "M0.75020 0.75000")),
    ("a group moved", "2041/B", stripper('data-plate="2041/B"', 'data-plate="2041/B" transform="translate(0.001)"')),
    ("the sheet moved", "the sheet is not drawn", stripper("M0 0 H20.0", "M0.001 0 H20.0")),
    ("stretched paper", "is stretched", stripper('height="20in"', 'height="20.1in"')),
    ("another scale", "is not drawn for the stripper", stripper('viewBox="0 0 24 20"', 'viewBox="0 0 24.024 20.02"')),
    ("no inches", "does not say how many inches", stripper('width="24in"', 'width="24"')),
    ("no view box", "does not say how many inches", stripper("viewBox", "data-box")),
    ("half a file", "is no SVG that can be read", stripper("</svg>", "")),
    ("no drawing", "is no SVG", stripper("svg", "html")),
    ("an entity", "is no SVG that can be read", stripper("<svg", '<!DOCTYPE svg [<!ENTITY a "b">]><svg')),
    ("binary rubbish", "is no SVG", lambda folder: (folder / "flat-01-metal.svg").write_bytes(b"\xff\0")),
    ("an unknown encoding", "is no SVG", stripper("<svg", '<?xml version="1.0" encoding="x-none"?><svg')),
    ("a curve", "cannot be measured at its step C", stripper(" Z", " C1 1 2 2 3 3 Z")),
    ("a line from nowhere", "cannot be measured at its step L", stripper("M0.75000", "L0.75000")),
    ("an odd number of numbers", "cannot be measured at its step M", stripper("M0.75000 ", "M0.75000 1 ")),
    ("a strange sign", "has a path with", stripper("M0.75000", "M%0.75000")),
    ("a leading number", "does not begin with a step", stripper('d="M0.75000', 'd="0.75000')),
    ("an unknown transform", "has a transform", stripper("matrix(1 0 0 -1 1.35 18)", "skewX(3)")),
    ("a broken transform", "has a transform", stripper("matrix(1 0 0 -1 1.35 18)", "matrix(1 0 0")),
    ("too few numbers in a transform", "has a transform", stripper("matrix(1 0 0 -1 1.35 18)", "matrix(1 0)")),
    ("a point on no page", "lies on no page", stripper("matrix(1 ", "matrix(1e9 ")),
    ("an outline that is no path", "something else than a path", stripper("<path data-kind", "<line data-kind")),
    ("an empty outline", "", stripper("M0.75000 0.75000", "Q")),
]


def test_both_drawings_of_a_flat_are_proven(tmp_path: Path) -> None:
    draw(tiny_plan(), tmp_path)
    assert views(tmp_path).violations == ()
    assert views(tmp_path).count == 2


def test_no_drawings_prove_nothing(tmp_path: Path) -> None:
    assert views(tmp_path).count == 0
    assert views(tmp_path).clean


@pytest.mark.parametrize(("says", "spoil"), [pytest.param(says, spoil, id=what) for what, says, spoil in SPOILINGS])
def test_a_spoiled_drawing_shows(tmp_path: Path, says: str, spoil: Callable[[Path], object]) -> None:
    draw(tiny_plan(), tmp_path)
    spoil(tmp_path)
    assert any(says in sentence and "flat 1" in sentence for sentence in views(tmp_path).violations)


def test_the_same_shape_drawn_from_another_corner_is_the_same(tmp_path: Path) -> None:
    draw(tiny_plan(), tmp_path)
    old = "M0.75000 0.75000 L4.75000 0.75000 L4.75000 3.75000 L0.75000 3.75000 Z"
    stripper(old, "M4.75 3.75 V.75 H0.75 L0.75 3.75Z")(tmp_path)
    assert views(tmp_path).violations == ()


def test_nested_transforms_are_done_from_the_inside_out(tmp_path: Path) -> None:
    file = tmp_path / "drawing.svg"
    file.write_text(
        '<svg width="2in" height="2in" viewBox="0 0 20 20"><defs><path data-kind="outline" d="M9 9"/></defs>'
        '<!-- a note --><g transform="translate(10, 5) scale(2 -2)" data-plate="a">'
        '<g transform="rotate(90)"><path data-kind="outline" d="M0 0 2 0 L2 1 Z"/></g>'
        '<g transform="rotate(180 1 1) translate(1) scale(1)"><path data-kind="outline" d="M0 0H1"/></g></g></svg>'
    )
    first, second = read_drawing(file, frozenset({"outline"}))
    assert first.plate == "a"
    # Turned by a quarter: up by two, then left by one; doubled, flipped and moved; a tenth of an inch to the unit.
    assert [pytest.approx(point) for point in first.rings[0]] == [(1.0, -0.5), (1.0, -0.1), (0.8, -0.1)]
    assert [pytest.approx(point) for point in second.rings[0]] == [(1.2, -0.1), (1.0, -0.1)]


def test_a_drawing_that_cannot_be_opened_is_a_fault(tmp_path: Path) -> None:
    with pytest.raises(DrawingFault, match="cannot be opened"):
        read_drawing(tmp_path / "none.svg", frozenset())


def test_a_drawing_nested_deeper_than_calls_go_is_read(tmp_path: Path) -> None:
    file = tmp_path / "deep.svg"
    depth = 3000
    file.write_text('<svg width="2in" height="2in" viewBox="0 0 2 2">' + "<g>" * depth + "</g>" * depth + "</svg>")
    assert read_drawing(file, frozenset({"outline"})) == []


def test_a_flat_number_that_makes_no_file_name_is_a_drawing_that_is_not_there(tmp_path: Path) -> None:
    draw(tiny_plan(), tmp_path)
    plan = tampered(lambda tables: tables["flats"].append({**tables["flats"][0], "number": 10**400}))
    assert any("is not there" in sentence for sentence in prove(plan, tmp_path).checks[-1].violations)


def test_a_folder_that_is_not_there_proves_nothing(tmp_path: Path) -> None:
    assert views(tmp_path / "none").count == 0
