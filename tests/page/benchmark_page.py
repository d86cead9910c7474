"""How fluid is a big day on the screen? 300 plates on 12 flats with art of real weight, in headless Chromium.

    python -m tests.page.benchmark_page

prints the size of the page, when its first words are painted, how long until a flat stands whole, the pictures a second
while it is dragged and zoomed, and how long the page's own thread works for one, in time of the processor, on which
other work on the machine has little influence. The plates are laid on a grid here, as the nesting is not what is
looked at.
"""

from __future__ import annotations

import argparse
import itertools
import json
import math
import random
import shutil
import tempfile
import time
from pathlib import Path
from typing import Any

from planner.page.assembly import PAGE, page_text
from planner.plan import ArtRecord, CutPart, FilmRecord, Flat, Plan, ZoneRecord
from planner.sheets.svg import Drawing
from tests.days import a_house, planned

FRAMES = """(steps) => new Promise((done) => {
  const stage = document.querySelector('#stage'), box = stage.getBoundingClientRect();
  const at = (kind, x, y, more = {}) => stage.dispatchEvent(new PointerEvent(kind, {
    bubbles: true, pointerId: 1, pointerType: 'mouse', clientX: box.x + x, clientY: box.y + y, ...more }));
  stage.setPointerCapture = () => {};
  const times = [];
  let step = 0;
  const frame = (now) => {
    times.push(now);
    if (step === steps) { at('pointerup', 0, 0); done(times); return; }
    const turn = 2 * Math.PI * step / 90;
    if (step % 180 === 0) at('pointerdown', box.width / 2, box.height / 2);
    const [x, y] = [box.width / 2 + 220 * Math.sin(turn), box.height / 2 + 160 * Math.sin(2 * turn)];
    if (step % 180 < 90) at('pointermove', x, y);
    else {
      if (step % 180 === 90) at('pointerup', box.width / 2, box.height / 2);
      stage.dispatchEvent(new WheelEvent('wheel', { cancelable: true, deltaY: step % 180 < 135 ? -40 : 40,
        clientX: box.x + box.width / 2, clientY: box.y + box.height / 2 }));
    }
    step += 1;
    requestAnimationFrame(frame);
  };
  requestAnimationFrame(frame);
})"""


def art_path(seed: int, weight: int) -> str:
    """Letters and leaves: wavy rings until the path has about so many signs; 1/1000 in, 3 x 3 in."""
    chance = random.Random(seed)
    parts: list[str] = []
    size = 0
    while size < weight:
        x, y, reach = chance.randint(100, 2900), chance.randint(100, 2900), chance.choice((12, 25, 60, 140))
        corners = max(8, reach)
        waves, depth = chance.randint(3, 9), chance.random() * 0.4
        ring = []
        for corner in range(corners):
            angle = 2 * math.pi * corner / corners
            radius = reach * (1 + depth * math.sin(waves * angle))
            ring.append((round(x + radius * math.cos(angle)), round(y + radius * math.sin(angle))))
        steps = [f"{b[0] - a[0]} {b[1] - a[1]}" for a, b in itertools.pairwise(ring) if a != b]
        part = f"M{ring[0][0]} {ring[0][1]}l{' '.join(steps)}z"
        parts.append(part)
        size += len(part)
    return "".join(parts)


def big_plan(flats: int, on_each: int, arts: int) -> Plan:
    """A day of so many flats, each with so many plates of 3 x 3 in, which share so many pieces of art."""
    seed = planned({"jobs": [{"number": "1", "plates": [{"name": "A", "size": "3 x 3 in", "metal": "zinc",
                    "negatives": [{"kind": "line"}]}]}]}, a_house())  # fmt: skip
    (flat,), (record,), (account,) = seed.flats, seed.plates, seed.ledger.flats
    weights = [60_000, 120_000, 250_000, 400_000]
    made = tuple(
        ArtRecord(id=f"art-{place}", file="a.svg", page=None, digest="0", kind="vector", threshold=0.5,
                  light_on_dark=False, mirrored=False, copy_size=(3, 3), crop=(0, 0, 0, 0), size=(3, 3),
                  percentage=100, resolution=1200, error=0.001, area=4, unit=0.001,
                  path=art_path(place, weights[place % len(weights)]))
        for place in range(arts)
    )  # fmt: skip
    plates, laid = [], []
    columns = 5
    for number in range(1, flats + 1):
        placements = []
        for place in range(on_each):
            count = len(plates)
            name = f"{count // 6 + 1}/P{count}"
            plates.append(record.model_copy(update={"id": name, "name": f"P{count}", "job": str(count // 6 + 1)}))
            x, y = 0.6 + 3.4 * (place % columns), 0.6 + 3.4 * (place // columns)
            square = (((x, y), (x + 3, y), (x + 3, y + 3), (x, y + 3)),)
            strip = (((x, y), (x + 3, y), (x + 3, y + 0.2), (x, y + 0.2)),)
            (film,) = flat.placements[0].films
            art = made[count % arts]
            film = FilmRecord(**{**film.model_dump(), "film": (square,), "image": (square,), "art": art.id,
                                 "art_transform": (1, 0, 0, 1, x, y)})  # fmt: skip
            placements.append(flat.placements[0].model_copy(update={
                "plate": name, "blank": (x - 0.1, y - 0.1, 3.2, 3.2), "part": (x - 0.1, y - 0.1, 3.2, 3.2),
                "outline": (square,), "printing": (square,), "flange": (), "films": (film,),
                "zones": (ZoneRecord(cutter=0.125, area=0.6, shape=(strip,)),)}))  # fmt: skip
        sheet = flat.sheet.model_copy(update={"width": 18.0, "height": 1 + 3.4 * math.ceil(on_each / columns)})
        rest = (CutPart(box=(0, 0, sheet.width, sheet.height), use="scrap"),)
        laid.append(flat.model_copy(update={"number": number, "sheet": sheet, "placements": tuple(placements),
                                            "cut_tree": rest, "cuts": 0}))  # fmt: skip
    job = seed.jobs[0]
    accounts = tuple(account.model_copy(update={"flat": number}) for number in range(1, flats + 1))
    return seed.model_copy(update={
        "title": f"{len(plates)} plates on {flats} flats", "plates": tuple(plates), "flats": tuple(laid), "art": made,
        "jobs": tuple(job.model_copy(update={"number": str(number)}) for number in range(1, len(plates) // 6 + 2)),
        "router": (),
        "ledger": seed.ledger.model_copy(update={"flats": accounts})})  # fmt: skip


def sheet_for(flat: Flat) -> str:
    """A sheet to print, so that the page carries one for each flat; what is on it is not what is looked at here."""
    drawing = Drawing(f"Flat {flat.number}", "")
    drawing.size(flat.sheet.width, flat.sheet.height)
    return drawing.markup()


def rates(times: list[float]) -> str:
    """Pictures a second over all, the slowest twentieth, and the longest wait."""
    waits = sorted(later - earlier for earlier, later in itertools.pairwise(times))
    slow = waits[int(len(waits) * 0.95)]
    return f"{1000 * len(waits) / sum(waits):.0f} a second, 95 % within {slow:.0f} ms, longest {waits[-1]:.0f} ms"


def worked(trace: bytes) -> str:
    """How long the page's thread worked for a picture: the mean, the slowest twentieth, the slowest."""
    events = json.loads(trace)["traceEvents"]
    times = sorted(one["tdur"] / 1000 for one in events if one["name"] == "ProxyMain::BeginMainFrame" and "tdur" in one)
    slow = times[int(len(times) * 0.95)]
    return f"{sum(times) / len(times):.1f} ms, 95 % within {slow:.1f} ms, longest {times[-1]:.1f} ms"


def look(path: Path, flat: int, steps: int) -> None:
    """Open a page in Chromium and print what it takes."""
    from playwright.sync_api import sync_playwright

    chromium = shutil.which("chromium")
    if chromium is None:
        raise SystemExit("There is no chromium on this machine.")
    with sync_playwright() as player:
        browser = player.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
        page: Any = browser.new_page(viewport={"width": 1440, "height": 900})
        page.goto(path.as_uri())
        page.wait_for_timeout(500)
        for entry in page.evaluate("performance.getEntriesByType('paint').map((one) => [one.name, one.startTime])"):
            print(f"{entry[0]}: {entry[1]:.0f} ms")
        for side in ("stripper", "metal"):
            begun = time.perf_counter()
            page.goto(f"{path.as_uri()}#flat-{flat}/{side}")
            page.wait_for_selector("#stage[data-ready=true]")
            print(f"flat {flat}, {side}: whole after {1000 * (time.perf_counter() - begun):.0f} ms")
            browser.start_tracing(page=page, categories=["cc", "toplevel"])
            times = page.evaluate(FRAMES, steps)
            print(f"flat {flat}, {side}, dragged and zoomed: {rates(times)}")
            print(f"flat {flat}, {side}, worked for each picture: {worked(browser.stop_tracing())}")
            page.keyboard.press("0")
            page.wait_for_selector("#stage[data-ready=true]")
        browser.close()


def main() -> None:
    """Read what to look at, and look."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--page", type=Path, help="an index.html to look at instead of the made-up day")
    parser.add_argument("--flat", type=int, default=1)
    parser.add_argument("--steps", type=int, default=360)
    given = parser.parse_args()
    if given.page is not None:
        look(given.page.resolve(), given.flat, given.steps)
        return
    plan = big_plan(12, 25, 40)
    begun = time.process_time()
    text = page_text(plan, {f"flat-{flat.number:02d}-stripper.svg": sheet_for(flat) for flat in plan.flats})
    print(f"{plan.title}, {len(plan.art)} pieces of art of {sum(len(art.path) for art in plan.art) / 2**20:.1f} MiB")
    print(f"page: {len(text.encode()) / 2**20:.1f} MiB, written in {time.process_time() - begun:.1f} s")
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / PAGE).write_text(text, encoding="utf-8")
        look(Path(folder) / PAGE, given.flat, given.steps)


if __name__ == "__main__":
    main()
