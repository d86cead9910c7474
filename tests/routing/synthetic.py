"""Plates made up for the router's tests and benchmark: a page like text, a drawing, a silhouette."""

from __future__ import annotations

import math
import random
from dataclasses import replace
from typing import Any

from shapely import LineString, Polygon, affinity
from shapely.geometry import MultiPolygon

from planner.geometry import area_of, union_of
from planner.house import House
from planner.plates import OrderedPlate

from ..days import a_plate


def plate_of(image: MultiPolygon, house: House, size: str = "8 x 10 in", **keys: Any) -> OrderedPlate:
    """A line plate with any shape as its image."""
    keys = {"mounting": "unmounted", **keys}
    plate = a_plate(house, size=size, negatives=[{"kind": "line", "size": "1 x 1 in"}], **keys)
    return replace(plate, films=(replace(plate.films[0], image=image),))


def a_page(seed: int, lines: int) -> MultiPolygon:
    """Blobs as large as letters of 10 points, in lines and paragraphs, from the top of an 8 x 10 in plate."""
    chance = random.Random(seed)
    letters = []
    for line in range(lines):
        if chance.random() < 0.12:
            continue
        across, end = 0.75, chance.choice([7.25, 7.25, 7.25, chance.uniform(2, 7)])
        while across < end:
            letter = affinity.translate(_letter(chance), across, 9.3 - line * 0.165)
            if chance.random() > 0.17:
                letters.append(letter)
            across = letter.bounds[2] + 0.012
    return union_of(letters)


def _letter(chance: random.Random) -> Polygon:
    corners, width, height = chance.randint(8, 24), chance.uniform(0.03, 0.07), chance.uniform(0.05, 0.1)
    turns = [2 * math.pi * corner / corners for corner in range(corners)]
    far = [chance.uniform(0.7, 1) / 2 for _ in turns]
    return Polygon(
        [
            (width * (0.5 + out * math.cos(turn)), height * (0.5 + out * math.sin(turn)))
            for turn, out in zip(turns, far, strict=True)
        ]
    )


def a_drawing(seed: int, strokes: int, width: float = 8, height: float = 10) -> MultiPolygon:
    """Wandering strokes from a hairline to 1/16 in thick, crossing one another."""
    chance = random.Random(seed)
    drawn = []
    for _ in range(strokes):
        x, y = chance.uniform(0.5, width - 0.5), chance.uniform(0.5, height - 0.5)
        turn, points = chance.uniform(0, 7), [(x, y)]
        for _ in range(40):
            turn += chance.uniform(-0.5, 0.5)
            x = min(max(x + 0.06 * math.cos(turn), 0.1), width - 0.1)
            y = min(max(y + 0.06 * math.sin(turn), 0.1), height - 0.1)
            points.append((x, y))
        drawn.append(LineString(points).buffer(chance.uniform(0.003, 0.03)))
    return union_of(drawn)


def a_silhouette(across: float = 8, up: float = 10) -> MultiPolygon:
    """A smooth outline with bays and bosses in the middle of a plate."""
    turns = [step * math.pi / 360 for step in range(720)]
    out = [0.62 + 0.1 * math.sin(5 * turn) + 0.025 * math.sin(31 * turn) for turn in turns]
    points = [
        (across / 2 * (1 + far * math.cos(turn)), up / 2 * (1 + far * math.sin(turn)))
        for turn, far in zip(turns, out, strict=True)
    ]
    return area_of(Polygon(points))
