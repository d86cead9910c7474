"""Type that shows must be outlines; type that a drawing program left behind unseen harms nobody."""

from __future__ import annotations

import pytest

from planner.artwork.records import ArtError
from planner.artwork.svg import opened

from .pictures import svg

WORDS = '<text x="1" y="2" font-size="0.5"{}>Best  Soap</text>'
PLAIN, WHITE = WORDS.format(""), WORDS.format(' fill="white"')
CLIPPED = WORDS.format(' clip-path="url(#c)"')


@pytest.mark.parametrize(
    "inside",
    [
        '<text x="1" y="1"> </text>',
        WORDS.format(' display="none"'),
        WORDS.format(' style="fill:black; display : none"'),
        f'<g style="opacity:0">{PLAIN}</g>',
        WORDS.format(' visibility="hidden"'),
        WHITE,
        WORDS.format(' fill="none"'),
        WORDS.format(' transform="translate(0 9)"'),
        WORDS.format(' transform="translate(-90 0)"'),
        f"<defs>{PLAIN}</defs>",
        f'{PLAIN}<rect width="4" height="5"/>',
        f'<clipPath id="c"><rect width="0.1" height="0.1"/></clipPath>{CLIPPED}',
        '<text x="1" y="2" font-size="0.5" fill="none"><tspan>Best</tspan> <tspan>Soap</tspan></text>',
        '<text y="2" font-size="0.5"><tspan x="1" display="none">Best Soap</tspan></text>',
        '<flowRoot><flowRegion><rect x="1" y="1" width="1" height="1"/></flowRegion><flowPara/></flowRoot>',
    ],
)
def test_type_that_never_shows_is_let_pass(inside: str) -> None:
    assert opened(svg(inside).encode()).measure.inches == (4, 5)


@pytest.mark.parametrize(
    "inside",
    [
        PLAIN,
        WORDS.format(' fill="#777"'),
        WORDS.format(' fill="none" stroke="black" stroke-width="0.01"'),
        f'<rect width="4" height="5"/>{WHITE}',
        f'<defs><g id="w">{PLAIN}</g></defs><use href="#w" x="0.5"/>',
        f'<switch><g systemLanguage="xx"/>{PLAIN}</switch>',
        '<text transform="translate(1 2)" font-size="0.5" fill="none">\n'
        '<tspan fill="red" x="0" y="0">Best Soap</tspan></text>',
        '<text x="1" y="2" style="font:0.5px serif;fill:none">Worst'
        '<tspan style="fill:#000;opacity:1">Best Soap</tspan></text>',
        '<text font-size="0.5"><textPath href="#p">Best Soap</textPath></text>',
        '<text x="10%" y="2" font-size="0.5">Best Soap</text>',
        '<flowRoot><flowRegion><rect x="1" y="1" width="1" height="1"/></flowRegion>'
        "<flowPara>Best Soap</flowPara></flowRoot>",
        f"<style>text {{ fill: black }}</style>{PLAIN}",
        WHITE.replace("Best  Soap", "Hidden") + PLAIN,
    ],
)
def test_type_that_shows_is_refused(inside: str) -> None:
    with pytest.raises(ArtError, match=r'sets type \("(Worst)?Best Soap"\) in a font that it does not carry'):
        opened(svg(inside).encode())


def test_a_place_that_is_no_length_counts_as_shown() -> None:
    with pytest.raises(ArtError, match="sets type"):
        opened(svg(WHITE.replace('x="1"', 'x="1zz"')).encode())


def test_type_of_a_size_that_is_none_is_as_large_as_usual() -> None:
    with pytest.raises(ArtError, match="sets type"):
        opened(svg(PLAIN.replace('"0.5"', '"0.5zz"')).encode())
