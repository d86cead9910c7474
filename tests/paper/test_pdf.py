from __future__ import annotations

import ctypes
import io
from typing import Any

import pypdf
import pypdfium2
import pytest

from planner.paper import printing
from planner.paper.converting import unshowable
from planner.paper.layers import sheet_of, uncommon_signs
from planner.paper.printing import Printed, print_sheets, printed_words, unshown_words
from planner.printer import Printer

from .days import SVG, sheets
from .looking import words_of

STRIPPER = "flat-01-stripper.svg"


def printed(name: str = STRIPPER, markup: str | None = None, **keys: str) -> Printed:
    (one,) = print_sheets({name: markup or sheets()[name]}, Printer.model_validate(keys))
    return one


def reader(one: Printed) -> Any:
    return pypdf.PdfReader(io.BytesIO(one.content))


def test_every_page_is_the_paper_and_is_not_to_be_scaled() -> None:
    document = reader(printed(paper="A4"))
    assert len(document.pages) > 2
    for page in document.pages:
        box = [float(side) for side in page.mediabox]
        assert box[:2] == [0, 0]
        assert sorted(box[2:]) == pytest.approx([210 / 25.4 * 72, 297 / 25.4 * 72], abs=1e-4)
    root = document.trailer["/Root"]
    assert root["/ViewerPreferences"]["/PrintScaling"] == "/None"
    assert document.metadata.title == sheets()[STRIPPER].split("<title>")[1].split("</title>")[0]
    assert document.page_labels[:2] == ["Key map", "A1"]


def test_layers_of_the_sheet_are_layers_of_the_pdf() -> None:
    root = reader(printed()).trailer["/Root"]
    names = [str(group.get_object()["/Name"]) for group in root["/OCProperties"]["/OCGs"]]
    layers = [piece.layer for piece in sheet_of(sheets()[STRIPPER], {}).pieces if piece.layer]
    assert names == [*dict.fromkeys(layers), "Rules, marks and words"]
    assert {"Films", "Labels", "Sheet and grip margin"} <= set(names)


def test_every_page_says_how_it_is_stretched_and_what_its_rules_measure() -> None:
    one = printed(paper="Letter", measured_x="9.97 in", measured_y="10.02 in")
    assert not one.tiling.landscape
    for page in range(one.tiling.pages):
        words = words_of(one.content, page)
        assert "Stretched 100.30 % across and 99.80 % down for this printer: check the rules before use." in words
        assert (
            "Rule X, across, must measure 7 in, rule Y, down, 10 in (10 in does not fit this paper both ways)" in words
        )
    assert "KEY MAP: flat-01-stripper" in words_of(one.content, 0)
    assert "lay the edge of B1 here" in words_of(one.content, 1)
    assert "Stretched" not in words_of(printed().content, 0)
    assert "True size: print at 100 %" in words_of(printed().content, 0)


def test_tiles_name_their_neighbours() -> None:
    one = printed(paper="Letter", overlap="1 in")
    last = one.tiling.tiles[-1]
    for page, tile in enumerate(one.tiling.tiles, start=1):
        words = words_of(one.content, page)
        assert f"Tile {tile.name} of A1 to {last.name}" in words
        assert ("GLUE" in words) == (tile is not last)
        assert ("CUT HERE" in words) == (tile.name != "A1")


def test_text_of_a_sheet_can_be_searched_and_bites_nobody() -> None:
    words = words_of(printed().content, 0)
    assert "RIGHT-READING" in words
    assert "<script>alert('x')<" in words
    assert "\u05e9\u05dc\u05d5\u05dd" in words or "\u05dd\u05d5\u05dc\u05e9" in words


def test_signs_that_no_font_has_are_found() -> None:
    never = "\U0003ffff"  # Unicode keeps it from ever being a sign.
    assert unshowable(f"A\u00e9{never}&<") == never
    assert unshowable("A\u00e9&<") == ""
    assert unshowable("") == ""


def test_signs_without_a_font_stand_as_their_codes(monkeypatch: pytest.MonkeyPatch) -> None:
    strange = "\u65e5"
    monkeypatch.setattr(printing, "unshowable", lambda signs: strange if strange in signs else "")
    markup = sheets()[STRIPPER].replace("RIGHT-READING", f"RIGHT{strange}")
    one = printed(markup=markup)
    assert one.unshown == strange
    words = words_of(one.content, 0)
    assert "RIGHT[U+65E5]" in words
    assert "Signs that no font here has stand as codes" in words
    assert "install a font" in unshown_words([one])
    assert unshown_words([printed()]) == ""


def test_uncommon_signs_are_looked_for_in_texts_only() -> None:
    drawing = f'<svg xmlns="{SVG[1:-1]}"><title>\u00e4</title><text>\u00e9 \u2067\u05e9\u2069</text></svg>'
    assert uncommon_signs([drawing]) == "\u00e9\u05e9"


def test_the_same_sheet_gives_the_same_bytes() -> None:
    assert printed(paper="A4").content == printed(paper="A4").content


def test_a_sheet_that_fits_needs_no_key_map() -> None:
    one = printed(paper="Arch E")
    assert len(reader(one).pages) == 1
    assert printed_words(one) == "flat-01-stripper.pdf: 1 page, portrait"


def test_the_sheet_is_stored_once_however_many_tiles_there_are() -> None:
    few, many = printed(paper="Tabloid"), printed(paper="A5")
    assert many.tiling.pages > 2 * few.tiling.pages
    per_page = (len(many.content) - len(few.content)) / (many.tiling.pages - few.tiling.pages)
    assert per_page < 6000


def test_a_drawing_without_inches_is_no_sheet() -> None:
    with pytest.raises(ValueError, match="not in inches"):
        sheet_of('<svg xmlns="http://www.w3.org/2000/svg" width="100" height="100"/>', {})


def test_layers_keep_their_order_and_what_lies_between() -> None:
    head = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape"'
    layer = '<g inkscape:groupmode="layer" inkscape:label="{}"><path d="M0 0 H1" fill="url(#{})"/></g>'
    markup = (
        f'{head} width="2in" height="3in"><defs><pattern id="one"/><pattern id="two"/></defs>'
        f'{layer.format("Low", "one")}<text>between</text><path d="M0 0"/>'
        f'<g transform="scale(2)">{layer.format("High", "two")}</g><g id="empty"/></svg>'
    )
    sheet = sheet_of(markup, {})
    assert (sheet.width, sheet.height) == (2, 3)
    assert [piece.layer for piece in sheet.pieces] == ["Low", None, "High"]
    low, between, high = (piece.markup for piece in sheet.pieces)
    assert 'id="one"' in low
    assert 'id="two"' not in low
    assert "between" in between
    assert "M0 0" in between
    assert "scale(2)" in high
    assert 'id="two"' in high


def parts_of(content: bytes, page: int) -> list[tuple[str, str]]:
    """Each part of a page's structure with what it says instead of being seen, as PDFium reads them."""
    raw: Any = pypdfium2.raw
    shown = pypdfium2.PdfDocument(content)[page]
    tree = raw.FPDF_StructTree_GetForPage(shown.raw)

    def read(ask: Any, part: Any) -> str:
        room = ask(part, None, 0)
        kept = ctypes.create_string_buffer(room)
        ask(part, kept, room)
        return kept.raw.decode("utf-16-le").rstrip("\x00")

    def walk(part: Any) -> Any:
        yield read(raw.FPDF_StructElement_GetType, part), read(raw.FPDF_StructElement_GetAltText, part)
        for place in range(raw.FPDF_StructElement_CountChildren(part)):
            child = raw.FPDF_StructElement_GetChildAtIndex(part, place)
            if child:
                yield from walk(child)

    tops = [
        raw.FPDF_StructTree_GetChildAtIndex(tree, place) for place in range(raw.FPDF_StructTree_CountChildren(tree))
    ]
    found = [one for top in tops for one in walk(top)]
    raw.FPDF_StructTree_Close(tree)
    return found


def test_every_page_says_in_words_what_it_shows() -> None:
    one = printed(paper="A4")
    root = reader(one).trailer["/Root"]
    assert root["/Lang"] == "en"
    assert root["/MarkInfo"]["/Marked"]
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    title = "Flat 1, RIGHT-READING - stripper. Layout of the negatives at true size on copper"
    for page, label in enumerate(reader(one).page_labels):
        parts = parts_of(one.content, page)
        told = next(alt for kind, alt in parts if kind == "Figure")
        assert told.startswith(title)
        assert ("Key map: the whole sheet" if page == 0 else f"Tile {label}: its part in column") in told
        assert sorted(kind for kind, _ in parts if kind != "Document") == ["Figure", "P"]
    whole = parts_of(printed().content, 0)
    assert next(alt for kind, alt in whole if kind == "Figure").endswith("8 x 10 in.")
