"""A child's whole work: read one request and one file from standard input, write what was drawn to standard output.

Run by `planner.artwork.children`; imports nothing of the planner, and a library only when a request needs it, after the
limits are set. The request is one line of JSON, the file follows.
"""

from __future__ import annotations

import ctypes
import json
import sys
from importlib import import_module
from typing import Any, NoReturn

_REFUSED = 3

_FINER = 2
_BAND = 8_000_000
"""Elements given at a time."""


def limit(memory: int, seconds: int) -> None:
    """Limit this process's own address space and processor time, where the system can."""
    try:
        resource: Any = import_module("resource")
    except ImportError:  # Not on every system.
        return
    resource.setrlimit(resource.RLIMIT_AS, (memory, memory))
    resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds + 5))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def refuse(sentence: str) -> NoReturn:
    """End with a sentence that goes on from the file's name."""
    sys.stderr.write(sentence + "\n")
    sys.exit(_REFUSED)


def svg(request: dict[str, Any], data: bytes) -> bytes:
    """Draw parts of an SVG that says its own size in elements, on white; give PNGs, the length of each before it.

    Parts are left, top, width and height in elements.
    """
    resvg: Any = import_module("resvg")
    answer = []
    try:
        # No fonts at all: what a drawing looks like must not hang on the machine.
        tree = resvg.usvg.Tree.from_str(data.decode(), resvg.usvg.Options.default())
        for left, top, width, height in request["parts"]:
            moved = (1.0, 0.0, -float(left), 0.0, 1.0, -float(top))
            png = resvg.render(tree, moved, bg_size=(width, height), bg_color=(255, 255, 255, 255))
            answer += [len(png).to_bytes(4, "big"), png]
    except BaseException as error:
        # The library says what it cannot draw by a panic, which is no Exception.
        if type(error).__name__ != "PanicException":
            raise
        refuse(f"cannot be drawn ({' '.join(str(error).split())}); save the art again as plain SVG")
    return b"".join(answer)


def pdf_measure(request: dict[str, Any], data: bytes) -> bytes:
    """Give pages, width and height (points, as the page stands) and fonts that are missing, as JSON."""
    raw: Any = import_module("pypdfium2.raw")
    page = _page(request, data)
    if page.get_mediabox(fallback_ok=False) is None:
        refuse("has a page without a size of its own (no MediaBox); save the PDF again")
    missing = set()
    for item in page.get_objects(filter=[raw.FPDF_PAGEOBJ_TEXT], max_depth=16):
        font = raw.FPDFTextObj_GetFont(item.raw)
        if not font or raw.FPDFFont_GetIsEmbedded(font) != 1:
            missing.add(_font_name(raw, font))
    width, height = page.get_size()
    return json.dumps({"width": width, "height": height, "missing": sorted(missing)}).encode()


def pdf(request: dict[str, Any], data: bytes) -> bytes:
    """Draw a part of a page in grey on white; give the elements row by row, the upper row first.

    PDFium lays the sides of rectangles on whole elements, up to one element off; so it draws finer, and the mean is
    given.
    """
    raw: Any = import_module("pypdfium2.raw")
    numpy: Any = import_module("numpy")
    page = _page(request, data)
    across, down = request["elements"]
    rows = max(_BAND // across, 1)
    bitmap = raw.FPDFBitmap_CreateEx(_FINER * across, _FINER * min(rows, down), raw.FPDFBitmap_Gray, None, 0)
    if not bitmap:
        refuse("needs more memory than any art may take; save it with less in it")
    stride, height = raw.FPDFBitmap_GetStride(bitmap), raw.FPDFBitmap_GetHeight(bitmap)
    buffer = ctypes.cast(raw.FPDFBitmap_GetBuffer(bitmap), ctypes.POINTER(ctypes.c_uint8 * (stride * height)))
    horizontal, vertical = (_FINER * value for value in request["scale"])
    left, top = (_FINER * value for value in request["at"])
    parts = []
    for first in range(0, down, rows):
        band = min(rows, down - first)
        raw.FPDFBitmap_FillRect(bitmap, 0, 0, _FINER * across, height, 0xFFFFFFFF)
        matrix = raw.FS_MATRIX(horizontal, 0, 0, vertical, -left, -top - _FINER * first)
        clip = raw.FS_RECTF(0, 0, _FINER * across, _FINER * band)
        raw.FPDF_RenderPageBitmapWithMatrix(bitmap, page.raw, matrix, clip, raw.FPDF_ANNOT | raw.FPDF_GRAYSCALE)
        drawn = numpy.frombuffer(buffer.contents, dtype=numpy.uint8).reshape(height, stride)
        drawn = drawn[: _FINER * band, : _FINER * across].astype(numpy.uint16)
        total = sum(drawn[row::_FINER, column::_FINER] for row in range(_FINER) for column in range(_FINER))
        parts.append((total // _FINER**2).astype(numpy.uint8).tobytes())
    return b"".join(parts)


def _page(request: dict[str, Any], data: bytes) -> Any:  # noqa: ANN401 - a library without types
    pypdfium2: Any = import_module("pypdfium2")
    try:
        document = pypdfium2.PdfDocument(data)
    except pypdfium2.PdfiumError as error:
        if "assword" in str(error):
            refuse("is locked with a password; save the PDF without one")
        refuse("is a broken or incomplete PDF; save it again")
    pages, number = len(document), request["page"]
    if pages == 0:
        refuse("is a PDF without a page; save it again")
    if number > pages:
        said = "only one page" if pages == 1 else f"only {pages} pages"
        refuse(f"has {said}; page = {number} is beyond it" if pages == 1 else f"has {said}; page {number} is beyond it")
    try:
        return document[number - 1]
    except pypdfium2.PdfiumError:
        refuse(f"has a broken page {number}; save the PDF again")


def _font_name(raw: Any, font: Any) -> str:  # noqa: ANN401 - a library without types
    if not font:
        return "a font without a name"
    length = raw.FPDFFont_GetBaseFontName(font, None, 0)
    buffer = ctypes.create_string_buffer(max(length, 1))
    raw.FPDFFont_GetBaseFontName(font, buffer, length)
    return buffer.value.decode("utf-8", "replace") or "a font without a name"


def main() -> None:
    """Do what the request asks."""
    request = json.loads(sys.stdin.buffer.readline())
    limit(request["memory"], request["seconds"])
    data = sys.stdin.buffer.read()
    answer = {"svg": svg, "pdf": pdf, "pdf measure": pdf_measure}[request["what"]](request, data)
    sys.stdout.buffer.write(answer)


if __name__ == "__main__":
    main()
