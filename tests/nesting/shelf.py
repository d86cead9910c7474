"""The plain way to nest: shelves of decreasing height, the yardstick to be beaten."""

from __future__ import annotations

from collections.abc import Iterable


def shelf_sheets(sizes: Iterable[tuple[int, int]], sheet: tuple[int, int], spacing: int) -> int:
    """Sheets that next-fit decreasing height takes, every piece laid flat where it fits so."""
    room_x, room_y = sheet[0] + spacing, sheet[1] + spacing
    flat = []
    for width, height in sizes:
        short, long = sorted((width + spacing, height + spacing))
        flat.append((long, short) if long <= room_x else (short, long))
    flat.sort(key=lambda size: (-size[1], -size[0]))
    sheets, x, y, shelf = 1, 0, 0, 0
    for width, height in flat:
        if x + width > room_x:
            x, y, shelf = 0, y + shelf, 0
        if y + height > room_y:
            sheets, x, y, shelf = sheets + 1, 0, 0, 0
        x += width
        shelf = max(shelf, height)
    return sheets
