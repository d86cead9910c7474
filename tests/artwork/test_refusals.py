"""What cannot be used gets one sentence, quickly, in bounded memory, and no warning."""

from __future__ import annotations

import base64
import gzip
import os
import struct
import subprocess
import sys
import zlib
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from planner.artwork import ArtError, Asked, read_art

from .pictures import bitmap, pdf, saved, svg, written

ASKED = Asked(kind="line", size=(4, 5), tolerance=1 / 100, closing=1 / 8)
XLINK = 'xmlns:xlink="http://www.w3.org/1999/xlink"'


def refusal(path: Path, asked: Asked = ASKED) -> str:
    with pytest.raises(ArtError) as caught:
        read_art(path, asked)
    sentence = str(caught.value)
    assert "\n" not in sentence
    assert sentence[0].islower()
    assert not sentence.endswith(".")
    assert len(sentence) < 250
    return sentence


def test_missing(tmp_path: Path) -> None:
    assert refusal(tmp_path / "f.svg") == "does not exist; correct the path, or put the art there"


def test_a_folder(tmp_path: Path) -> None:
    assert refusal(tmp_path) == "is a folder; name the art file inside it"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_that_nobody_writes_to(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "f.svg")
    assert "is no plain file but a pipe" in refusal(tmp_path / "f.svg")


def test_empty(tmp_path: Path) -> None:
    assert refusal(written(tmp_path / "f.png", b"")) == "is empty (0 bytes); save the art again"


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("f.svg", "png", 'is no SVG file though its name says so; it holds PNG, so give it a name that ends in ".png"'),
        ("f.png", "svg", 'is no PNG file though its name says so; it holds SVG, so give it a name that ends in ".svg"'),
        ("f.pdf", "png", "is no PDF file though its name says so; it holds PNG"),
        ("f.tif", "noise", "is no TIFF file though its name says so; save the art again as TIFF"),
        ("f", "noise", "is no art that can be read; save it as SVG, PNG, TIFF, JPEG, BMP or PDF"),
        ("f.svg", "svgz", "is compressed with gzip; save it as plain SVG"),
        ("f.svgz", "svgz", "is compressed with gzip; save it as plain SVG"),
        ("f.svg", "bomb", "is compressed with gzip; save it as plain SVG"),
        ("f.svg", "html", "is XML but no SVG drawing; save the art again as SVG"),
    ],
)
def test_mislabelled(tmp_path: Path, name: str, content: str, words: str) -> None:
    contents = {
        "png": lambda: saved(tmp_path / "source.png", bitmap(20)).read_bytes(),
        "svg": lambda: svg().encode(),
        "noise": lambda: b"\x00\x01\x02 nothing of the kind",
        "svgz": lambda: gzip.compress(svg().encode()),
        "bomb": lambda: gzip.compress(b" " * 50_000_000),
        "html": lambda: b"<html><body/></html>",
    }
    assert words in refusal(written(tmp_path / name, contents[content]()))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('<!DOCTYPE svg [<!ENTITY a "aa"><!ENTITY b "&a;&a;">]>' + svg("<desc>&b;</desc>"), 'declares the entity "a"'),
        ('<!DOCTYPE svg [<!ENTITY a SYSTEM "file:///etc">]>' + svg("<desc>&a;</desc>"), 'declares the entity "a"'),
        ('<!DOCTYPE svg [<!ENTITY % a SYSTEM "http://example.com/a">%a;]>' + svg(), 'declares the entity "a"'),
        (svg()[:-20], "is broken or incomplete SVG (unclosed token"),
        (svg('<rect width="1"'), "is broken or incomplete SVG"),
        (svg(f'<image {XLINK} xlink:href="other.png" width="1" height="1"/>'), 'refers to "other.png" outside itself'),
        (svg('<image href="http://example.com/a.png"/>'), 'refers to "http://example.com/a.png" outside itself'),
        (svg('<image href="file:///etc/passwd"/>'), 'refers to "file:///etc/passwd" outside itself'),
        (svg('<use href="other.svg#a"/>'), 'refers to "other.svg#a" outside itself'),
        (svg('<rect fill="url(other.svg#a)"/>'), 'refers to "other.svg#a" outside itself'),
        (svg("<rect style=\"fill:url( 'other.svg#a' )\"/>"), 'refers to "other.svg#a" outside itself'),
        (svg("<style>@import 'other.css';</style>"), "imports a style sheet from outside itself"),
        (svg("<style>@font-face{src:url(http://example.com/f.ttf)}</style>"), 'refers to "http://example.com/f.ttf"'),
        (svg("<style>rect{fill:u\\72l(http://example.com)}</style>"), "has escaped signs in its styles"),
        (
            svg(f'<image href="data:image/svg+xml;base64,{base64.b64encode(svg().encode()).decode()}"/>'),
            "embeds image/svg+xml that is no PNG, JPEG, GIF or WebP picture",
        ),
        (svg('<image href="data:image/png;base64,iVBORw0KGgo="/>'), "embeds a broken picture"),
        (svg('<text x="1" y="1">Best  Soap</text>'), 'sets type ("Best Soap") in a font that it does not carry'),
        (svg("<g>" * 300 + "</g>" * 300), "nests groups more than 256 deep"),
        (svg(view="0 0 0 5"), 'has a viewBox of "0 0 0 5"; it needs four numbers'),
        (svg(size='width="-4in" height="5in"'), 'has a width of "-4in"; it must be greater than zero'),
        (svg(size='width="4e9in" height="5e9in"'), "nothing over 1200 in fits there; see to its units"),
        (svg(size='width="100%" height="100%"'), "says no physical size (width and height with units); give the"),
        ('<svg xmlns="http://www.w3.org/2000/svg"/>', "has neither width and height nor a viewBox"),
    ],
)  # fmt: skip
def test_drawings(tmp_path: Path, text: str, words: str) -> None:
    assert words in refusal(written(tmp_path / "f.svg", text))


def test_type_that_does_not_show_is_no_reason(tmp_path: Path) -> None:
    hidden = '<text> </text><g style="fill:red;display:none"><text>a</text></g><g display="none"><text>b</text></g>'
    assert read_art(written(tmp_path / "f.svg", svg(hidden)), ASKED).area == 0


def test_parts_repeated_beyond_measure(tmp_path: Path) -> None:
    levels = "".join(f'<g id="a{n + 1}">' + f'<use href="#a{n}"/>' * 10 + "</g>" for n in range(9))
    text = svg(f'<defs><rect id="a0" width="1" height="1"/>{levels}</defs><use href="#a9"/>')
    assert "repeats its parts until they are more than 500,000" in refusal(written(tmp_path / "f.svg", text))


def test_patterns_within_patterns(tmp_path: Path) -> None:
    levels = "".join(
        f'<pattern id="p{n + 1}" width="0.1" height="0.1">'
        + f'<rect width="1" height="1" style="fill:url(#p{n})"/>' * 10
        + "</pattern>"
        for n in range(9)
    )
    text = svg(f'<pattern id="p0"/>{levels}<rect width="4" height="4" fill="url(#p9)"/>')
    assert "repeats its parts" in refusal(written(tmp_path / "f.svg", text))


def test_a_part_that_repeats_itself_is_drawn_without_end_neither_here_nor_there(tmp_path: Path) -> None:
    text = svg('<g id="a"><rect width="1" height="1"/><use href="#a" x="1"/></g>')
    assert read_art(written(tmp_path / "f.svg", text), ASKED).area == pytest.approx(1, abs=0.05)


def test_canvases_within_canvases_stay_within_memory(tmp_path: Path) -> None:
    nest = '<g opacity="0.99">' * 200 + '<rect width="4" height="5"/>' + "</g>" * 200
    sentence = refusal(written(tmp_path / "f.svg", svg(nest)), Asked(kind="line", size=(4, 5), tolerance=1 / 500))
    assert "of memory to draw" in sentence or "to draw" in sentence


def test_pdfs(tmp_path: Path) -> None:
    path = pdf(tmp_path / "f.pdf", pages=2)
    beyond = refusal(path, Asked(kind="line", size=(4, 5), page=3))
    assert beyond == "has only 2 pages; page 3 is beyond it"
    assert "is a broken or incomplete PDF" in refusal(written(tmp_path / "g.pdf", b"%PDF-1.7\nnothing"))
    assert "is a broken or incomplete PDF" in refusal(written(tmp_path / "h.pdf", path.read_bytes()[:100]))
    assert "has no page 2" in refusal(written(tmp_path / "f.svg", svg()), Asked(kind="line", size=(4, 5), page=2))


def plain_pdf(objects: list[bytes], trailer: bytes = b"") -> bytes:
    data, places = b"%PDF-1.4\n", []
    for number, body in enumerate(objects, 1):
        places.append(len(data))
        data += b"%d 0 obj\n%s\nendobj\n" % (number, body)
    table = b"".join(b"%010d 00000 n \n" % place for place in places)
    start = len(data)
    data += b"xref\n0 %d\n0000000000 65535 f \n%s" % (len(objects) + 1, table)
    return data + b"trailer <</Size %d/Root 1 0 R%s>>\nstartxref\n%d\n%%%%EOF" % (len(objects) + 1, trailer, start)


def test_a_pdf_that_does_not_carry_its_font(tmp_path: Path) -> None:
    text = b"BT /F 24 Tf 20 20 Td (Soap) Tj ET"
    objects = [
        b"<</Type/Catalog/Pages 2 0 R>>",
        b"<</Type/Pages/Kids[3 0 R]/Count 1>>",
        b"<</Type/Page/Parent 2 0 R/MediaBox[0 0 288 360]/Contents 4 0 R/Resources<</Font<</F 5 0 R>>>>>>",
        b"<</Length %d>>stream\n%s\nendstream" % (len(text), text),
        b"<</Type/Font/Subtype/Type1/BaseFont/Helvetica>>",
    ]
    sentence = refusal(written(tmp_path / "f.pdf", plain_pdf(objects)))
    assert sentence.startswith("sets type in a font that it does not carry (Helvetica)")


def test_a_pdf_page_without_a_size(tmp_path: Path) -> None:
    objects = [
        b"<</Type/Catalog/Pages 2 0 R>>",
        b"<</Type/Pages/Kids[3 0 R]/Count 1>>",
        b"<</Type/Page/Parent 2 0 R>>",
    ]
    assert "has a page without a size of its own" in refusal(written(tmp_path / "f.pdf", plain_pdf(objects)))


def test_a_locked_pdf(tmp_path: Path) -> None:
    # Standard security handler, revision 2, with keys that no empty password fits.
    objects = [
        b"<</Type/Catalog/Pages 2 0 R>>",
        b"<</Type/Pages/Kids[3 0 R]/Count 1>>",
        b"<</Type/Page/Parent 2 0 R/MediaBox[0 0 288 360]>>",
        b"<</Filter/Standard/V 1/R 2/P -4/O<%s>/U<%s>>>" % (b"ab" * 32, b"cd" * 32),
    ]
    data = plain_pdf(objects, b"/Encrypt 4 0 R/ID[<%s><%s>]" % (b"00" * 16, b"00" * 16))
    assert refusal(written(tmp_path / "f.pdf", data)) == "is locked with a password; save the PDF without one"


@pytest.mark.parametrize("suffix", [".png", ".tif", ".jpg", ".bmp"])
def test_bitmaps_cut_short(tmp_path: Path, suffix: str) -> None:
    chance = np.random.default_rng(1)
    noise = Image.fromarray(chance.integers(0, 255, (250, 200), dtype=np.uint8))
    whole = saved(tmp_path / f"f{suffix}", noise, dpi=(50, 50))
    data = whole.read_bytes()
    for share in (0.02, 0.3, 0.9):
        cut = written(tmp_path / f"cut{suffix}", data[: int(len(data) * share)])
        assert "is broken or incomplete" in refusal(cut)


@pytest.mark.parametrize("dpi", [None, (1, 1), (1e6, 1e6)])
@pytest.mark.parametrize("suffix", [".png", ".tif", ".jpg"])
def test_no_resolution_or_nonsense(tmp_path: Path, suffix: str, dpi: tuple[float, float] | None) -> None:
    options: dict[str, object] = {} if dpi is None else {"dpi": dpi if suffix != ".jpg" else (min(dpi[0], 60_000),) * 2}
    sentence = refusal(saved(tmp_path / f"f{suffix}", bitmap(20), **options))
    assert sentence.startswith("says no resolution, or one that makes no sense; give the size of the copy with the key")
    assert 'copy_size = "6.400 x 8 in"' in sentence


def huge_png(side: int) -> bytes:
    """The beginning of a 1-bit PNG of any size."""

    def chunk(name: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    body = zlib.compress(bytes(side // 8 + 1) * 10)
    header = struct.pack(">IIBBBBB", side, side, 1, 0, 0, 0, 0)
    pieces = chunk(b"IHDR", header), chunk(b"pHYs", struct.pack(">IIB", 20_000, 20_000, 1)), chunk(b"IDAT", body)
    return b"\x89PNG\r\n\x1a\n" + b"".join(pieces) + chunk(b"IEND", b"")


def test_bombs_are_refused_before_they_are_decoded(tmp_path: Path) -> None:
    asked = Asked(kind="line", size=(40, 40), copy_size=(40, 40))
    sentence = refusal(written(tmp_path / "f.png", huge_png(60_000)), asked)
    assert "has 60000 x 60000 elements, which would take" in sentence
    assert "no art may take more than 2; save it with fewer dots to the inch" in sentence


def test_no_plate_is_too_large_for_a_sentence(tmp_path: Path) -> None:
    asked = Asked(kind="line", size=(72, 90), copy_size=(8, 10))
    assert "would be 72.0 x 90.0 in on the plate" in refusal(written(tmp_path / "f.svg", svg()), asked)


def test_a_bitmap_of_fractions(tmp_path: Path) -> None:
    sentence = refusal(saved(tmp_path / "f.tif", bitmap(50).convert("F"), dpi=(50, 50)))
    assert sentence.startswith("holds numbers with fractions instead of grey")


def test_a_copy_size_that_distorts(tmp_path: Path) -> None:
    asked = Asked(kind="line", size=(4, 5), copy_size=(4, 4))
    sentence = refusal(written(tmp_path / "f.svg", svg()), asked)
    assert sentence == (
        "would be distorted by its copy_size of 4.000 x 4.000 in; by its own proportion it is 4.000 x 5.000 in, or "
        "3.200 x 4.000 in"
    )


def test_a_crop_that_leaves_nothing(tmp_path: Path) -> None:
    asked = Asked(kind="line", size=(4, 5), crop={"left": 2.5, "right": 1.5})
    assert "and crop leaves nothing of it" in refusal(written(tmp_path / "f.svg", svg()), asked)


@pytest.mark.skipif(sys.platform == "win32", reason="memory is measured with the resource module")
def test_a_thirty_thousand_by_thirty_thousand_tiff_stays_within_2_gib(tmp_path: Path) -> None:
    path = tmp_path / "f.tif"
    Image.new("1", (30_000, 30_000), 1).save(path, compression="group4", dpi=(1200, 1200))
    code = f"""
import resource
from pathlib import Path
from planner.artwork import ArtError, Asked, read_art
for size in ((25.0, 25.0), (2.0, 2.0)):
    try:
        art = read_art(Path({str(path)!r}), Asked(kind="line", size=size))
        print("read at", round(art.resolution))
    except ArtError as refusal:
        print(refusal)
peak = max(resource.getrusage(who).ru_maxrss for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
print(peak * (1 if {sys.platform == "darwin"} else 1024))
"""
    done = subprocess.run([sys.executable, "-W", "error", "-c", code], capture_output=True, text=True, check=True)
    refused, read, peak = done.stdout.splitlines()
    assert "has 30000 x 30000 elements, which would take" in refused
    assert read.startswith("read at ")
    assert int(peak) < 2 * 2**30
    assert done.stderr == ""
