"""Print how many lays the search finds on random flats, beside plain greedy and the proven bound, with the seconds.

.venv/bin/python -m tests.plugins.benchmark_benday [--flats 20] [--seed 0]
"""

from __future__ import annotations

import argparse
import random
import time

from flatwright_rules import benday

WIDTH, HEIGHT = 24, 36


def areas(count: int, draw: random.Random) -> tuple[benday.Box, ...]:
    """Tint areas from 1/2 to 5 in wide and high, anywhere on a sheet of 24 x 36 in, on eighths of an inch."""
    found = []
    for _ in range(count):
        width, height = draw.randint(4, 40) / 8, draw.randint(4, 40) / 8
        x, y = draw.randint(0, int((WIDTH - width) * 8)) / 8, draw.randint(0, int((HEIGHT - height) * 8)) / 8
        found.append((x, y, x + width, y + height))
    return tuple(found)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--flats", type=int, default=20)
    parser.add_argument("--seed", type=int, default=0)
    given = parser.parse_args()
    houses = {
        "to 16 x 20": benday.BendaySettings.model_validate({}).frames,
        "to 8 x 10": ((6.0, 8.0), (8.0, 10.0)),
    }
    print(f"{given.flats} flats of {WIDTH} x {HEIGHT} in for each row, seed {given.seed}")
    print("| frames | areas | lays | plain greedy | at least | proven | seconds a flat | worst |")
    print("|---|---|---|---|---|---|---|---|")
    for words, sizes in houses.items():
        frames = benday._either_way(sizes)
        for count in (4, 8, 12, 16, 20, 30, 40):
            draw = random.Random(given.seed)
            lays = greedy = least = proven = 0
            seconds = []
            for _ in range(given.flats):
                boxes = areas(count, draw)
                start = time.process_time()
                cover = benday.fewest_lays(boxes, sizes)
                seconds.append(time.process_time() - start)
                greedy += len(benday.plain_greedy(benday._largest_groups(boxes, frames), count))
                lays += len(cover.groups)
                least += cover.at_least
                proven += len(cover.groups) == cover.at_least
            mean = sum(seconds) / len(seconds)
            print(f"| {words} | {count} | {lays} | {greedy} | {least} | {proven} | {mean:.4f} | {max(seconds):.3f} |")


if __name__ == "__main__":
    main()
