"""May this SVG be drawn: does it stay within itself, and does it stay small?

Refused are entities and anything else a document type declaration declares, references to other files or to the
network, drawings inside drawings, and parts repeated into the millions. Type that is not outlines has a room of its
own (`planner.artwork.svg_type`).
"""

from __future__ import annotations

import base64
import binascii
import io
import re
from collections.abc import Iterator
from typing import Final
from urllib.parse import unquote_to_bytes
from xml.etree.ElementTree import Element, ParseError

from defusedxml import DTDForbidden, EntitiesForbidden, ExternalReferenceForbidden
from defusedxml.ElementTree import fromstring
from PIL import Image, UnidentifiedImageError

from planner.artwork.records import ArtError

SVG: Final = "{http://www.w3.org/2000/svg}"

DEEPEST: Final = 256
"""Elements within elements; drawings made by people stay far below."""

MOST_ELEMENTS: Final = 500_000
"""Elements once every repeated part is counted as often as it is drawn."""

MOST_IN_PICTURE: Final = 40_000_000
"""Picture elements of a bitmap inside the drawing."""

_URL: Final = re.compile(r"""url\(\s*(?:"([^"]*)"|'([^']*)'|([^)]*?))\s*\)""", re.IGNORECASE)
_IMPORT: Final = re.compile(r"@import\b", re.IGNORECASE)
_COMMENT: Final = re.compile(r"/\*.*?\*/", re.DOTALL)
_DATA: Final = re.compile(r"data:(?P<type>[^,;]*)(?P<more>[^,]*),(?P<body>.*)", re.IGNORECASE | re.DOTALL)
_LINKS: Final = frozenset({f"{SVG}a"})
_MAKES_COPIES: Final = ("fill", "stroke", "mask", "clip-path", "filter", "marker", "marker-start", "marker-mid")


def parsed(data: bytes) -> Element:
    """Parse a drawing and see that it may be drawn.

    Raises:
        ArtError: it is no SVG, is broken, or is refused as the module says.
    """
    try:
        root: Element = fromstring(data, forbid_dtd=False, forbid_entities=True, forbid_external=True)
    except EntitiesForbidden as error:
        raise ArtError(f'declares the entity "{error.name}"; save it as plain SVG, which has none') from None
    except (ExternalReferenceForbidden, DTDForbidden):
        raise ArtError("refers to a file outside itself; save it as plain SVG, with everything inside") from None
    except ParseError as error:
        raise ArtError(f"is broken or incomplete SVG ({error}); save it again") from None
    except (ValueError, LookupError) as error:
        raise ArtError(f"is written in an unknown encoding ({error}); save it as UTF-8") from None
    if root.tag == "svg":
        # Drawings from before SVG had a namespace of its own: everything without one is meant to be SVG.
        for element in root.iter():
            if isinstance(element.tag, str) and not element.tag.startswith("{"):
                element.tag = SVG + element.tag
    if root.tag != f"{SVG}svg":
        raise ArtError("is XML but no SVG drawing; save the art again as SVG")
    _check_depth(root)
    for element in root.iter():
        _check_references(element)
    _check_count(root)
    return root


def _check_depth(root: Element) -> None:
    level, depth = [root], 0
    while level:
        depth += 1
        if depth > DEEPEST:
            raise ArtError(f"nests groups more than {DEEPEST} deep; save it as plain SVG with fewer groups")
        level = [child for element in level for child in element]


def _check_references(element: Element) -> None:
    if not isinstance(element.tag, str) or not element.tag.startswith(SVG):
        return
    for name, value in element.attrib.items():
        if name.rpartition("}")[2] == "href":
            if element.tag not in _LINKS:
                _check_reference(value.strip())
        elif "url(" in value.lower() or "\\" in value:
            _check_style(value)
    if element.tag == f"{SVG}style":
        _check_style("".join(element.itertext()))


def _check_style(style: str) -> None:
    # An escaped letter could hide a reference; no drawing needs one.
    plain = _COMMENT.sub("", style)
    if "\\" in plain and ("(" in plain or "@" in plain):
        raise ArtError("has escaped signs in its styles; save it as plain SVG")
    if _IMPORT.search(plain):
        raise ArtError("imports a style sheet from outside itself; save it as plain SVG, with everything inside")
    for match in _URL.finditer(plain):
        _check_reference(next(group for group in match.groups() if group is not None).strip())


def _check_reference(target: str) -> None:
    if not target or target.startswith("#"):
        return
    if target[:5].lower() == "data:":
        _check_embedded(target)
        return
    shown = target if len(target) <= 60 else target[:57] + "..."
    raise ArtError(f'refers to "{shown}" outside itself; embed it, so that the file holds everything')


def _check_embedded(uri: str) -> None:
    match = _DATA.fullmatch(uri)
    if match is None:
        raise ArtError("embeds something that cannot be read; embed pictures as PNG or JPEG")
    body = match["body"]
    try:
        data = base64.b64decode("".join(body.split())) if "base64" in match["more"].lower() else unquote_to_bytes(body)
    except (binascii.Error, ValueError):
        raise ArtError("embeds a broken picture; embed it again as PNG or JPEG") from None
    if not data.startswith((b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff", b"GIF8", b"RIFF")):
        shown = match["type"] or "something without a type"
        raise ArtError(f"embeds {shown} that is no PNG, JPEG, GIF or WebP picture; embed pictures as PNG or JPEG")
    try:
        width, height = _picture_size(data)
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError):
        raise ArtError("embeds a broken picture; embed it again as PNG or JPEG") from None
    if width * height > MOST_IN_PICTURE:
        raise ArtError(
            f"embeds a picture of {width} x {height} elements, and {MOST_IN_PICTURE:,} are the most; "
            f"embed a smaller one"
        )


def _picture_size(data: bytes) -> tuple[int, int]:
    try:
        with Image.open(io.BytesIO(data), formats=("PNG", "JPEG", "GIF", "WEBP")) as picture:
            return picture.size
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        return (100_000, 100_000)


def _check_count(root: Element) -> None:
    """Count elements as often as they are drawn: a `use` draws its target, a pattern or marker is drawn anew."""
    named = {element.get("id"): element for element in root.iter() if element.get("id")}
    drawn: dict[Element, int] = {}
    open_elements: set[Element] = set()
    stack: list[tuple[Element, bool]] = [(root, False)]
    while stack:
        element, done = stack.pop()
        needs = [*element, *(named[target] for target in _targets(element) if target in named)]
        if done:
            open_elements.discard(element)
            drawn[element] = 1 + sum(drawn.get(each, 0) for each in needs)
            if drawn[element] > MOST_ELEMENTS:
                raise ArtError(
                    f"repeats its parts until they are more than {MOST_ELEMENTS:,}; save it with fewer copies"
                )
        elif element not in drawn and element not in open_elements:
            open_elements.add(element)
            stack.append((element, True))
            stack.extend((each, False) for each in needs if each not in drawn)
        # What is open already refers to itself; renderers draw nothing there, so it counts nothing.


def _targets(element: Element) -> Iterator[str]:
    if element.tag == f"{SVG}use":
        for name, value in element.attrib.items():
            if name.rpartition("}")[2] == "href" and value.startswith("#"):
                yield value[1:]
    for name, value in element.attrib.items():
        if "url(" in value and (name == "style" or name.startswith(_MAKES_COPIES)):
            for match in _URL.finditer(value):
                target = next(group for group in match.groups() if group is not None).strip()
                yield target.removeprefix("#")
