"""How do drawings become pages? SVG to PDF by Typst, exactly and as vectors. The only module that knows Typst.

Patterns, clips and shared paths stay what they are, and text stays text, in the fonts of this machine, or in those that
Typst brings where there are none. Nothing is read from disk or the network: drawings go in as values, and the source
of the pages names no file.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final
from xml.sax.saxutils import escape

import typst

from planner.sheets.svg import FONTS

_PAGE: Final = (
    "#page(width: {width:.9f}in, height: {height:.9f}in, margin: 0pt, fill: none, place(top + left, "
    'image(bytes(sys.inputs.at("{key}")), format: "svg", width: 100%, height: 100%, fit: "stretch")))\n'
)
_NO_FONT: Final = re.compile(r'the text `"(.+?)"` could not be displayed')


def pages_of(drawings: Sequence[tuple[str, float, float]]) -> bytes:
    """Make a PDF with a page for each drawing: its SVG text, width and height in inches.

    The same drawings and fonts give the same bytes.
    """
    source = "".join(
        _PAGE.format(key=place, width=width, height=height) for place, (_, width, height) in enumerate(drawings)
    )
    return _compiled(source, {str(place): markup for place, (markup, *_) in enumerate(drawings)})


def unshowable(signs: str) -> str:
    """Give those of some signs that no font of this machine has."""
    if not signs:
        return ""
    texts = "".join(
        f'<text x="1" y="{line + 1}" font-size="0.5">{escape(sign)}</text>' for line, sign in enumerate(signs)
    )
    side = len(signs) + 1
    markup = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{side}in" height="{side}in" viewBox="0 0 {side} {side}"'
        f' font-family="{FONTS}">{texts}</svg>'
    )
    source = _PAGE.format(key=0, width=side, height=side)
    try:
        # The archival standard forbids signs without a shape, so that the converter names them.
        _compiled(source, {"0": markup}, standard="a-2b")
    except typst.TypstError as error:
        missing = "".join(map(_sign, _NO_FONT.findall(error.diagnostic)))
        if not missing:
            raise
        return "".join(sign for sign in signs if sign in missing)
    return ""


def _sign(named: str) -> str:
    """Read a sign as a message names it: itself, or its code as \\u{65e5}."""
    code = re.fullmatch(r"\\u\{([0-9a-f]+)\}", named)
    return chr(int(code[1], 16)) if code else named


def _compiled(source: str, inputs: dict[str, str], standard: typst.PDFStandard = "1.7") -> bytes:
    made = typst.compile(
        source.encode(), format="pdf", sys_inputs=inputs, timestamp=0, pdf_tags=False, pdf_standards=standard
    )
    assert isinstance(made, bytes)
    return made
