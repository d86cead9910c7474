"""Symbols with a number in them: findings (one shape for each severity), cuts (a circle), close edges (a square)."""

from __future__ import annotations

import math
from typing import Final, Literal

from planner.plan import Box
from planner.sheets.ground import Ground
from planner.sheets.labels import Places
from planner.sheets.style import BLACK, GREY, WHITE
from planner.sheets.svg import Group, Paint, circle_path, line_path, polygon_path

RADIUS: Final = 0.13

Symbol = Literal["stop", "warn", "note", "cut", "near", "plate"]

SEVERITY_WORDS: Final = {
    "stop": "STOP: cure it before film is wetted",
    "warn": "WARNING: have a look",
    "note": "NOTE: good to know",
}


def mark(group: Group, symbol: Symbol, number: str, x: float, y: float, data: dict[str, str] | None = None) -> None:
    """Draw a symbol with its number about a place of the page."""
    size = 0.14 if len(number) < 3 else 0.105
    down = size * 0.36
    fill = BLACK if symbol in ("stop", "near") else WHITE
    paint = Paint(BLACK, 0.016, fill=fill)
    if symbol == "cut":
        group.path(circle_path(x, y, RADIUS), paint, data)
    elif symbol == "stop":
        group.path(_regular(x, y, RADIUS * 1.15, 8, 22.5), paint, data)
    elif symbol == "warn":
        group.path(_regular(x, y + RADIUS * 0.12, RADIUS * 1.45, 3, 90), paint, data)
        down += RADIUS * 0.3
        size *= 0.85
    elif symbol in ("near", "plate"):
        group.path(_regular(x, y, RADIUS * 1.3, 4, 45), paint, data)
    else:
        group.path(_regular(x, y, RADIUS * 1.35, 4, 0), paint, data)
    colour = WHITE if fill == BLACK else BLACK
    group.text(number, x, y + down, size, anchor="middle", bold=True, fill=colour, data=data)


def box_about(x: float, y: float, radius: float = RADIUS * 1.3) -> Box:
    """Give the box that a symbol about a place fills."""
    return x - radius, y - radius, 2 * radius, 2 * radius


def mark_near(
    group: Group,
    symbol: Symbol,
    number: str,
    at: tuple[float, float],
    within: Box,
    places: Places,
    ground: Ground,
    data: dict[str, str],
) -> None:
    """Draw a symbol at a place, or beside it with a pointer when a label or the edge of an image is there."""
    spots = [spot for spot in _round_about(at) if _inside(box_about(*spot), within)] or [at]
    free = [spot for spot in spots if places.free(box_about(*spot))] or spots
    spot = next((spot for spot in free if ground.is_open(box_about(*spot))), free[0])
    places.take(box_about(*spot))
    if math.dist(spot, at) > RADIUS:
        group.path(line_path((*spot, *at)), Paint(GREY, 0.012))
        group.path(circle_path(*at, 0.025), Paint(fill=BLACK))
    mark(group, symbol, number, *spot, data)


def _round_about(at: tuple[float, float]) -> list[tuple[float, float]]:
    rings = [(at[0], at[1])]
    for ring in range(1, 9):
        for eighth in range(8):
            turn = math.radians(45 * eighth)
            away = ring * RADIUS * 2.2
            rings.append((at[0] + away * math.cos(turn), at[1] - away * math.sin(turn)))
    return rings


def _inside(box: Box, room: Box) -> bool:
    return (
        box[0] >= room[0]
        and box[1] >= room[1]
        and box[0] + box[2] <= room[0] + room[2]
        and box[1] + box[3] <= room[1] + room[3]
    )


def _regular(x: float, y: float, radius: float, corners: int, start: float) -> str:
    turns = [math.radians(start + 360 * corner / corners) for corner in range(corners)]
    return polygon_path((x + radius * math.cos(turn), y - radius * math.sin(turn)) for turn in turns)
