"""Which file comes of the pages? A PDF put together of a sheet's layers and the marks round them, by pypdf alone.

A sheet is stored once, each of its layers as a drawing that every page shows through its own window; viewers can show
and hide the layers. The pages are exactly as large as the paper, and viewers are told not to scale them. No clock and
no chance: the same pages give the same bytes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import Final

from pypdf import PageObject, PdfReader, PdfWriter
from pypdf.generic import (
    ArrayObject,
    BooleanObject,
    DecodedStreamObject,
    DictionaryObject,
    FloatObject,
    IndirectObject,
    NameObject,
    NumberObject,
    StreamObject,
    TextStringObject,
)

UNITS: Final = 72
"""PDF's units in an inch (ISO 32000-1, 8.3.2.3)."""

_MARKS: Final = "Rules, marks and words"
_FIGURE, _WORDS = 0, 1
"""Of each page's content: the sheet's part, and what stands round it."""


@dataclass(frozen=True, slots=True)
class Window:
    """Where a page shows the sheet: the place of the sheet's upper left corner, its scale both ways, and what is seen.

    Inches of paper from the upper left.
    """

    corner: tuple[float, float]
    scale: tuple[float, float]
    seen: tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Page:
    """One page: what viewers call it, how large it is, through which window it shows the sheet, and what that is."""

    label: str
    size: tuple[float, float]
    window: Window
    told: str
    """What the window shows, in words, for who cannot see it."""


@dataclass(frozen=True, slots=True)
class Book:
    """What a file is made of: its title, the sheet's size, the names of its layers, and its pages."""

    title: str
    sheet: tuple[float, float]
    layers: tuple[str | None, ...]
    pages: tuple[Page, ...]


def bound(book: Book, layers: bytes, marks: bytes) -> bytes:
    """Put a file together; ``layers`` has a page for each layer of the sheet, ``marks`` one for each page."""
    writer = PdfWriter()
    writer.pdf_header = "%PDF-1.7"
    groups = _groups(writer, book.layers)
    drawn = PdfReader(BytesIO(layers)).pages if book.layers else []
    forms = [
        _form(writer, page, book.sheet, groups.get(layer or "")) for page, layer in zip(drawn, book.layers, strict=True)
    ]
    for page, own in zip(book.pages, PdfReader(BytesIO(marks)).pages, strict=True):
        _add_page(writer, page, book.sheet, forms, _form(writer, own, page.size, groups[_MARKS]))
    _say_about(writer, book, list(groups.values()))
    _tag(writer, book)
    out = BytesIO()
    writer.write(out)
    return out.getvalue()


def _groups(writer: PdfWriter, layers: Sequence[str | None]) -> dict[str, IndirectObject]:
    names = dict.fromkeys(layer for layer in (*layers, _MARKS) if layer)
    return {
        name: writer._add_object(
            DictionaryObject({NameObject("/Type"): NameObject("/OCG"), NameObject("/Name"): TextStringObject(name)})
        )
        for name in names
    }


def _form(
    writer: PdfWriter, page: PageObject, size: tuple[float, float], group: IndirectObject | None
) -> IndirectObject:
    """Keep a page as a drawing to be shown on others, as it is, without packing it anew."""
    contents, resources = page["/Contents"].get_object(), page["/Resources"].get_object()
    assert isinstance(contents, StreamObject)
    assert isinstance(resources, DictionaryObject)
    form = contents.clone(writer)
    form.update(
        {
            NameObject("/Type"): NameObject("/XObject"),
            NameObject("/Subtype"): NameObject("/Form"),
            NameObject("/BBox"): _numbers(0, 0, size[0] * UNITS, size[1] * UNITS),
            NameObject("/Resources"): resources.clone(writer),
        }
    )
    if group is not None:
        form[NameObject("/OC")] = group
    assert form.indirect_reference is not None
    return form.indirect_reference


def _add_page(
    writer: PdfWriter, page: Page, sheet: tuple[float, float], forms: Sequence[IndirectObject], marks: IndirectObject
) -> None:
    width, height = page.size
    added = writer.add_blank_page(width * UNITS, height * UNITS)
    box = _numbers(0, 0, width * UNITS, height * UNITS)
    added[NameObject("/MediaBox")] = box
    names = {f"/L{place}": form for place, form in enumerate(forms)}
    shown = DictionaryObject({NameObject(name): form for name, form in {**names, "/Marks": marks}.items()})
    added[NameObject("/Resources")] = DictionaryObject({NameObject("/XObject"): shown})
    stream = DecodedStreamObject()
    stream.set_data("\n".join(_content(page, sheet, list(names))).encode("ascii"))
    added[NameObject("/Contents")] = writer._add_object(stream.flate_encode())


def _content(page: Page, sheet: tuple[float, float], names: Sequence[str]) -> Iterator[str]:
    height, window = page.size[1], page.window
    (x, y), (across, down), (left, top, wide, high) = window.corner, window.scale, window.seen
    # What lies between BDC and EMC belongs to the page's part of the structure with that number (ISO 32000-1, 14.7.4).
    yield f"/Figure <</MCID {_FIGURE}>> BDC"
    yield f"q {_written(left * UNITS, (height - top - high) * UNITS, wide * UNITS, high * UNITS)} re W n"
    lowest = height - y - down * sheet[1]
    yield f"{_written(across, 0, 0, down, x * UNITS, lowest * UNITS)} cm"
    yield from (f"{name} Do" for name in names)
    yield "Q EMC"
    yield f"/P <</MCID {_WORDS}>> BDC /Marks Do EMC"


def _say_about(writer: PdfWriter, book: Book, groups: Sequence[IndirectObject]) -> None:
    """Set title, layers, the names of pages, and that nobody is to scale them."""
    writer.add_metadata({"/Title": book.title, "/Creator": "flatwright"})
    root = writer.root_object
    root[NameObject("/ViewerPreferences")] = DictionaryObject(
        {NameObject("/PrintScaling"): NameObject("/None"), NameObject("/DisplayDocTitle"): BooleanObject(True)}
    )
    root[NameObject("/OCProperties")] = DictionaryObject(
        {
            NameObject("/OCGs"): ArrayObject(groups),
            NameObject("/D"): DictionaryObject(
                {NameObject("/Order"): ArrayObject(groups), NameObject("/ON"): ArrayObject(groups)}
            ),
        }
    )
    labels = ArrayObject()
    for number, page in enumerate(book.pages):
        labels.append(NumberObject(number))
        labels.append(DictionaryObject({NameObject("/P"): TextStringObject(page.label)}))
    root[NameObject("/PageLabels")] = DictionaryObject({NameObject("/Nums"): labels})


def _tag(writer: PdfWriter, book: Book) -> None:
    """Say what pages are made of: a figure with its words, and the words round it (ISO 32000-1, 14.7 to 14.9)."""
    root = writer.root_object
    root[NameObject("/Lang")] = TextStringObject("en")
    root[NameObject("/MarkInfo")] = DictionaryObject({NameObject("/Marked"): BooleanObject(True)})
    tree = DictionaryObject({NameObject("/Type"): NameObject("/StructTreeRoot")})
    top = writer._add_object(tree)
    document = _part(writer, top, "Document")
    tree[NameObject("/K")] = document.indirect_reference
    parts, owners = ArrayObject(), ArrayObject()
    for number, (page, told) in enumerate(zip(writer.pages, book.pages, strict=True)):
        page[NameObject("/StructParents")] = NumberObject(number)
        page[NameObject("/Tabs")] = NameObject("/S")
        own = ArrayObject()
        for kind, place in (("Figure", _FIGURE), ("P", _WORDS)):
            part = _part(writer, document.indirect_reference, kind)
            part[NameObject("/Pg")] = page.indirect_reference
            part[NameObject("/K")] = NumberObject(place)
            if place == _FIGURE:
                part[NameObject("/Alt")] = TextStringObject(told.told)
                part[NameObject("/A")] = _layout(told)
            own.append(part.indirect_reference)
        parts += own
        owners += [NumberObject(number), writer._add_object(own)]
    document[NameObject("/K")] = parts
    tree[NameObject("/ParentTree")] = writer._add_object(DictionaryObject({NameObject("/Nums"): owners}))
    tree[NameObject("/ParentTreeNextKey")] = NumberObject(len(book.pages))
    root[NameObject("/StructTreeRoot")] = top


def _part(writer: PdfWriter, above: IndirectObject | None, kind: str) -> DictionaryObject:
    assert above is not None
    part = DictionaryObject(
        {
            NameObject("/Type"): NameObject("/StructElem"),
            NameObject("/S"): NameObject(f"/{kind}"),
            NameObject("/P"): above,
        }
    )
    writer._add_object(part)
    return part


def _layout(page: Page) -> DictionaryObject:
    """Where a figure lies on its page."""
    left, top, wide, high = page.window.seen
    low = page.size[1] - top - high
    box = _numbers(*(side * UNITS for side in (left, low, left + wide, low + high)))
    return DictionaryObject({NameObject("/O"): NameObject("/Layout"), NameObject("/BBox"): box})


def _numbers(*values: float) -> ArrayObject:
    return ArrayObject(FloatObject(f"{value:.6f}") for value in values)


def _written(*values: float) -> str:
    return " ".join(f"{value:.6f}" for value in values)
