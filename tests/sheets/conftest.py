"""A small plan made by hand: a crowded zinc flat cut by saw, and a magnesium flat cut by shear."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any, Literal

import pytest
from shapely import LineString, Point, Polygon, box
from shapely.geometry import MultiPolygon
from shapely.geometry.base import BaseGeometry

from planner.findings import Severity
from planner.geometry import area_of, grown, moved, plain, shape_of, spun, union_of
from planner.orders import MetalName
from planner.plan import (
    Account,
    ArtRecord,
    Box,
    CameraRecord,
    CopyRecord,
    CutPart,
    FilmRecord,
    FindingRecord,
    Flat,
    FlatAccount,
    JobRecord,
    Ledger,
    Placement,
    Plan,
    PlateRecord,
    RouterRecord,
    RouterZone,
    Settings,
    SheetRecord,
    StretchRecord,
    TintRecord,
    ZoneRecord,
)
from planner.sheets.canvas import Canvas
from planner.sheets.folder import sheet_files
from planner.sheets.style import Look

Use = Literal["base", "surprint", "reverse"]
NOTHING = Account(printing=0, routed=0, flange=0, trim=0, kerf=0, grip=0, offcut=0, scrap=0)
MARGIN = 0.1875
"""Flange and a little trim round every plate of this plan."""


@dataclass
class Art:
    """A plate to be laid: its record's words, its shapes in its own frame."""

    job: str
    name: str
    size: tuple[float, float]
    kind: str = "line"
    image: BaseGeometry | None = None
    outline: BaseGeometry | None = None
    overlay: tuple[Use, float] | None = None
    tint: tuple[str, BaseGeometry] | None = None
    screen: int | None = None
    colour: str | None = None
    copy: tuple[int, int] = (1, 1)
    mounting: str = "bevelled"
    turned: Any = 0
    staying: BaseGeometry | None = None
    extra: dict[str, Any] = field(default_factory=dict)

    @property
    def id(self) -> str:
        return "/".join(str(part) for part in (self.job, self.name, self.colour, self.copy[0]) if part)


def opened(shape: BaseGeometry, radius: float) -> MultiPolygon:
    """What a disc of this radius can sweep while it stays inside a shape."""
    return area_of(shape.buffer(-radius).buffer(radius).intersection(shape))


def letter_f(width: float, height: float) -> BaseGeometry:
    """An F, which is like its mirror image in no way."""
    stem = width * 0.28
    return union_of(
        [
            box(0, 0, stem, height),
            box(0, height * 0.8, width, height),
            box(0, height * 0.45, width * 0.7, height * 0.62),
        ]
    )


def blot(width: float, height: float) -> BaseGeometry:
    return union_of(
        [
            spun(box(width * 0.2, height * 0.3, width * 0.8, height * 0.7), 20, (width / 2, height / 2)),
            grown(box(width * 0.45, height * 0.45, width * 0.55, height * 0.55), width * 0.25),
        ]
    )


def lines_of_type(width: float, height: float, step: float = 0.3) -> BaseGeometry:
    rows = []
    for row in range(int(height / step)):
        length = width - (row % 3) * width * 0.15
        rows.append(box(0, row * step, length, row * step + step * 0.5))
    return union_of(rows)


def _zinc_rows() -> list[tuple[float, list[Art]]]:
    notched = Polygon([(0, 0), (6, 0), (6, 3), (4, 3), (4, 5.5), (0, 5.5)], [[(1, 1), (1, 2.5), (2.5, 2.5), (2.5, 1)]])
    tiny = box(0.1, 0.1, 0.65, 0.9)
    return [
        (
            9.0,
            [
                Art("J1042", "Fencing poster F", (8, 8.5), "silhouette", moved(letter_f(6, 7), 1, 0.75), screen=120),
                Art(
                    "J1042",
                    "Regatta view",
                    (7, 8.5),
                    "square",
                    box(0.25, 0.25, 6.75, 8.25),
                    overlay=("surprint", 1.5),
                    screen=133,
                ),
                Art(
                    "J1050", "Harbour, night", (5.5, 6), "square", box(0, 0, 5.5, 6), overlay=("reverse", 0),
                    screen=120, mounting="flush",
                ),
            ],
        ),
        (
            6.0,
            [
                Art("J1077", "Notched seal", (6, 5.5), "line", moved(lines_of_type(3, 2), 0.4, 3), outline=notched,
                    mounting="nailed", staying=box(4.8, 0.5, 5.4, 1.1)),
                Art("J1077", "Map of the ward", (3.5, 5.5), "line", moved(lines_of_type(2.6, 4.6), 0.4, 0.4),
                    tint=("Ruled 45, 85 lines to the inch", box(2.0, 3.2, 3.2, 5.0))),
                Art("J1081", "Rose", (5, 5), "drop-out", moved(blot(4, 4), 0.5, 0.5), screen=133, colour="red",
                    turned=90),
                Art("J1081", "Rose", (5, 5), "combination", moved(blot(4, 4), 0.5, 0.5), screen=133, colour="black"),
            ],
        ),
        (
            1.5,
            [
                Art("J1090", "Colophon", (0.75, 1), "line", tiny, copy=(copy, 4)) for copy in (1, 2, 3, 4)
            ] + [Art("J1091", "Border rule, long", (14, 0.9), "line", moved(lines_of_type(13, 0.6, 0.3), 0.5, 0.15))],
        ),
        (
            10.0,
            [
                Art("J1102", "Bookmark, tall", (1.2, 9.5), "line", moved(lines_of_type(0.8, 9), 0.2, 0.2)),
                Art("J1103", "<script>alert(\"x\")</script> & 'quotes' " + "very long name " * 8, (4, 4), "line",
                    moved(letter_f(2, 3), 1, 0.5)),
                Art("J1104", "\u05e9\u05dc\u05d5\u05dd 12 \u202eevil", (4, 6), "line", moved(letter_f(3, 5), 0.5, 0.5)),
            ],
        ),
    ]  # fmt: skip


def _magnesium_rows() -> list[tuple[float, list[Art]]]:
    return [
        (
            5.0,
            [
                Art("J1200", "Ticket", (6, 4), "line", moved(lines_of_type(5, 3), 0.5, 0.5)),
                Art("J1201", "Label F", (3, 4.5), "line", moved(letter_f(2, 3.5), 0.5, 0.5)),
            ],
        ),
        (3.0, [Art("J1201", "Stamp", (2, 2), "line", moved(letter_f(1, 1.4), 0.5, 0.3))]),
    ]


class Layout:
    """Lays rows of plates from the foot of a sheet upwards and keeps the cut tree that goes with it."""

    def __init__(self, width: float, height: float, grip: float, kerf: float) -> None:
        self.width, self.height, self.grip, self.kerf = width, height, grip, kerf
        self.parts: list[dict[str, Any]] = []
        self.numbers = itertools.count(1)

    def lay(self, rows: list[tuple[float, list[Art]]]) -> list[tuple[Art, Any, Any]]:
        self.laid: list[tuple[Art, Any, Any]] = []
        rest = self._part((0.0, 0.0, self.width, self.height))
        grip, kerf = self.grip, self.kerf
        for way, at, keep in (
            ("horizontal", grip - kerf / 2, "high"),
            ("horizontal", self.height - grip + kerf / 2, "low"),
            ("vertical", grip - kerf / 2, "high"),
            ("vertical", self.width - grip + kerf / 2, "low"),
        ):
            low, high = self._cut(rest, way, at)
            self.parts[high if keep == "low" else low]["use"] = "grip"
            rest = low if keep == "low" else high
        for height, arts in rows:
            strip, rest = self._cut(rest, "horizontal", self.parts[rest]["box"][1] + height + kerf / 2)
            for art in arts:
                x, y, _, room = self.parts[strip]["box"]
                size = self._blank(art)
                piece, strip = self._cut(strip, "vertical", x + size[0] + kerf / 2)
                if room > size[1] + 1:
                    piece, over = self._cut(piece, "horizontal", y + size[1] + kerf / 2)
                    self.parts[over]["use"] = "scrap"
                self.parts[piece] |= {"use": "plate", "plate": art.id}
                self.laid.append((art, (x, y, *size), self.parts[piece]["box"]))
            self.parts[strip]["use"] = "offcut" if min(self.parts[strip]["box"][2:]) > 3 else "scrap"
        self.parts[rest]["use"] = "offcut"
        return self.laid

    def _blank(self, art: Art) -> tuple[float, float]:
        width, height = art.size[0] + 2 * MARGIN, art.size[1] + 2 * MARGIN
        return (height, width) if art.turned in (90, 270) else (width, height)

    def _part(self, where: tuple[float, float, float, float]) -> int:
        self.parts.append({"box": where})
        return len(self.parts) - 1

    def _cut(self, place: int, way: str, at: float) -> tuple[int, int]:
        x, y, width, height = self.parts[place]["box"]
        half = self.kerf / 2
        if way == "vertical":
            low = self._part((x, y, at - half - x, height))
            high = self._part((at + half, y, x + width - at - half, height))
        else:
            low = self._part((x, y, width, at - half - y))
            high = self._part((x, at + half, width, y + height - at - half))
        self.parts[place] |= {
            "cut": way, "at": at, "kerf": self.kerf, "number": next(self.numbers), "low": low, "high": high,
        }  # fmt: skip
        return low, high


def _placement(art: Art, blank: Box, part: Box) -> Placement:
    x, y = blank[0] + MARGIN, blank[1] + MARGIN
    width, height = art.size

    def here(shape: BaseGeometry) -> BaseGeometry:
        if art.turned == 90:
            shape = moved(spun(shape, 90, (0, 0)), height, 0)
        return moved(shape, x, y)

    outline = here(art.outline or box(0, 0, width, height))
    assert art.image is not None
    image = here(art.image)
    printing = image.intersection(outline)
    skin = here(box(-0.1, -0.1, width + 0.1, height + 0.1))
    films = [_film(1, art.kind, "base", art.turned, (width, height), skin, image)]
    if art.overlay:
        use, angle = art.overlay
        turn = (width / 2, height / 2)
        film = here(spun(box(0.6, 1, width - 0.6, 3), angle, turn))
        lettering = here(spun(moved(lines_of_type(width - 2.4, 1.2, 0.5), 1.2, 1.4), angle, turn))
        films.append(_film(2, "line", use, art.turned + angle, (width - 1.2, 2.0), film, lettering))
    tints = []
    if art.tint:
        tints = [TintRecord(pattern=art.tint[0], area=plain(here(art.tint[1])))]
        printing = union_of([printing, here(art.tint[1])])
    keep = [grown(printing, 0.06)] + ([here(art.staying)] if art.staying else [])
    dead = outline.difference(union_of(keep))
    flange = box(*here(box(-0.125, -0.125, width + 0.125, height + 0.125)).bounds).difference(
        box(*here(box(0, 0, width, height)).bounds)
    )
    return Placement(
        plate=art.id, blank=blank, part=part, turned=art.turned, outline=plain(outline), printing=plain(printing),
        flange=plain(flange) if art.mounting == "bevelled" else (),
        staying=plain(here(art.staying)) if art.staying else (),
        films=tuple(films), tints=tuple(tints), zones=tuple(_zones(dead)),
    )  # fmt: skip


def _film(
    number: int, kind: str, use: Use, angle: float, size: tuple[float, float], film: BaseGeometry, image: BaseGeometry
) -> FilmRecord:
    return FilmRecord(
        number=number, name=f"film-{number}", kind=kind, use=use, on=None if use == "base" else 1, angle=angle,
        size=size, film=plain(film), image=plain(image),
    )  # fmt: skip


def _zones(dead: BaseGeometry) -> Iterator[ZoneRecord]:
    for cutter in (0.25, 0.125, 0.0625):
        taken = opened(dead, cutter / 2)
        if not taken.is_empty:
            yield ZoneRecord(cutter=cutter, area=taken.area, shape=plain(taken))
        dead = dead.difference(taken.buffer(1e-6))
    if plain(dead):
        yield ZoneRecord(cutter=None, area=dead.area, shape=plain(dead))


def _record(art: Art, metal: str, gauge: float) -> PlateRecord:
    width, height = art.size
    outline = art.outline or box(0, 0, width, height)
    prints = [art.image or Polygon(), *([art.tint[1]] if art.tint else [])]
    return PlateRecord(
        id=art.id, job=art.job, name=art.name, copy_number=art.copy[0], copies=art.copy[1], colour=art.colour,
        metal=metal, gauge=gauge, screen=art.screen, mounting=art.mounting, block=None, may_turn=True, notes="",
        width=width,
        height=height, outline=plain(outline), printing=plain(union_of(prints).intersection(outline)), films=1,
        blank=(-MARGIN, -MARGIN, width + 2 * MARGIN, height + 2 * MARGIN), allowances=(), share_key=metal,
    )  # fmt: skip


def make_flat(
    number: int, metal: MetalName, size: tuple[float, float], kerf: float, rows: list[tuple[float, list[Art]]]
) -> tuple[Flat, list[PlateRecord]]:
    grip = 0.5
    layout = Layout(*size, grip, kerf)
    laid = layout.lay(rows)
    placements = tuple(_placement(*one) for one in laid)
    sheet = SheetRecord(
        name=f"{metal} full sheet", metal=metal, gauge=0.064, width=size[0], height=size[1], price="41.20",
        remnant=False,
    )  # fmt: skip
    flat = Flat(
        number=number, sheet=sheet, share_key=metal, grip=grip,
        usable=(grip, grip, size[0] - 2 * grip, size[1] - 2 * grip), spots=(), layout="straight",
        how_cut="saw" if kerf else "shear", kerf=kerf,
        gap=kerf, placements=placements, cut_tree=tuple(CutPart(**part) for part in layout.parts),
        cuts=sum("cut" in part for part in layout.parts),
    )  # fmt: skip
    return flat, [_record(art, metal, 0.064) for art, *_ in laid]


def make_plan(*made: tuple[Flat, list[PlateRecord]], findings: tuple[FindingRecord, ...] = ()) -> Plan:
    plates = tuple(record for _, records in made for record in records)
    names = dict.fromkeys(record.job for record in plates)
    return Plan(
        title="Tuesday's flats", version="0",
        settings=Settings(
            seed=0, iterations=1, stopped="bound", house="Quoin & Sons", currency="USD", register_tolerance=0.03,
            clearance=0.06, least_white=0.1, cutters=(0.25, 0.125, 0.0625), least_offcut=(3, 3), rules=(),
        ),
        jobs=tuple(
            JobRecord(number=name, customer=None, due=None, rush=name == "J1050", notes="",
                      plates=sum(record.job == name for record in plates)) for name in names
        ),
        plates=plates, flats=tuple(flat for flat, _ in made), held=(), findings=findings, bounds=(),
        ledger=Ledger(
            flats=tuple(
                FlatAccount(
                    flat=flat.number,
                    sheet_area=flat.sheet.width * flat.sheet.height,
                    weight=1.0,
                    areas=NOTHING,
                )
                for flat, _ in made
            ),
            jobs=(), total=NOTHING,
        ),
    )  # fmt: skip


def _findings(flat: Flat) -> tuple[FindingRecord, ...]:
    overlay = next(place for place in flat.placements if len(place.films) > 1)
    x, y, _, _ = overlay.blank

    def finding(code: str, severity: Severity, message: str, **more: object) -> FindingRecord:
        given = {"rule": "coverage", "plate": overlay.plate, "flat": 1, "cure": "", "amount": None, "unit": ""}
        return FindingRecord.model_validate(
            {"code": code, "severity": severity, "message": message, "shape": ()} | given | more
        )

    return (
        finding("coverage.short", "stop",
                "The surprint does not cover its illustration: 1/4 in is missing on the left.",
                cure="Remake the overlay at 6 5/8 x 8 3/8 in.", amount=0.25, unit="in",
                shape=plain(box(x + 0.4, y + 1, x + 0.65, y + 3))),
        finding("square.angle", "warn", "The surprint lies 1.5 degrees askew: 0.15 in at its far end.",
                cure="Square it up.", shape=plain(box(x + 5, y + 2, x + 6, y + 3))),
        finding("bevel.room", "note", "Flange kept to 1/8 in on all sides.", flat=None),
    )  # fmt: skip


def hand_made() -> Plan:
    zinc = make_flat(1, "zinc", (24, 36), 0.0625, _zinc_rows())
    magnesium = make_flat(2, "magnesium", (12, 10), 0.0, _magnesium_rows())
    return make_plan(zinc, magnesium, findings=_findings(zinc[0]))


UNIT = 1 / 1200
CUTTERS = (0.25, 0.125, 0.0625)


def path_of(shape: BaseGeometry, unit: float = UNIT) -> str:
    """SVG path data of whole units, as art has it."""
    steps = []
    for polygon in plain(shape):
        for ring in polygon:
            points = [(round(x / unit), round(y / unit)) for x, y in ring]
            steps.append(f"M{points[0][0]} {points[0][1]}")
            steps += [f"l{x - x0} {y - y0}" for (x0, y0), (x, y) in itertools.pairwise(points)]
            steps.append("z")
    return "".join(steps)


def art_record(name: str, shape: BaseGeometry, size: tuple[float, float], percentage: float, **more: Any) -> ArtRecord:
    given = {
        "id": name, "file": f"art/{name}.svg", "page": None, "digest": "0" * 64, "kind": "line", "threshold": 0.5,
        "light_on_dark": False, "mirrored": False,
        "copy_size": (size[0] * 100 / percentage, size[1] * 100 / percentage), "crop": (0.0, 0.0, 0.0, 0.0),
        "size": size, "percentage": percentage, "resolution": 600.0, "error": 0.002, "area": shape.area, "unit": UNIT,
        "path": path_of(shape),
    }  # fmt: skip
    return ArtRecord.model_validate(given | more)


def with_art(plan: Plan, arts: dict[str, ArtRecord], places: dict[str, tuple[float, ...]]) -> Plan:
    """Say of the first film of these plates that it is made from art; places are in the plate's frame."""
    flats = []
    for flat in plan.flats:
        placements = []
        for placement in flat.placements:
            if placement.plate in arts:
                x, y = placement.blank[0] + MARGIN, placement.blank[1] + MARGIN
                a, b, c, d, e, f = places.get(placement.plate, (1, 0, 0, 1, 0, 0))
                told = {"art": arts[placement.plate].id, "art_transform": (a, b, c, d, e + x, f + y)}
                films = (placement.films[0].model_copy(update=told), *placement.films[1:])
                placements.append(placement.model_copy(update={"films": films}))
            else:
                placements.append(placement)
        flats.append(flat.model_copy(update={"placements": tuple(placements)}))
    listed = {art.id: art for art in arts.values()}
    return plan.model_copy(update={"flats": tuple(flats), "art": tuple(listed.values())})


def router_record(plates: tuple[str, ...], plate: PlateRecord, staying: BaseGeometry | None = None) -> RouterRecord:
    """A plate's work as a simple-minded router would do it: each part of each cutter's zone, from its edge inwards."""
    printing = shape_of(plate.printing)
    outline = shape_of(plate.outline)
    dead = outline.difference(union_of([grown(printing, 0.06), *([staying] if staying else [])]))
    nails: tuple[tuple[float, float], ...] = ()
    if plate.mounting == "nailed":
        wide = shape_of(plain(dead.buffer(-0.15)))
        nails = tuple((point.x, point.y) for point in [part.representative_point() for part in wide.geoms][:4])
        dead = dead.difference(union_of([Point(at).buffer(0.09) for at in nails]))
    zones: list[RouterZone] = []
    for cutter in (*CUTTERS, None):
        taken = dead if cutter is None else opened(dead, cutter / 2)
        for part in shape_of(plain(taken)).geoms:
            if part.area >= 1e-4:
                zones.append(_zone(len(zones) + 1, cutter, part))
        if cutter is not None:
            dead = dead.difference(taken.buffer(1e-6))
    near = []
    for zone in zones:
        for ring in zone.shape[0][1:]:
            line = LineString(ring[: max(2, len(ring) // 3)])
            if line.length > 0.3:
                near.append(
                    StretchRecord(zone=zone.number, line=tuple(line.coords), length=line.length,
                                  distance=0.0625 - 0.001 * len(near), width=0.012)
                )  # fmt: skip
    near.sort(key=lambda stretch: stretch.distance)
    cut = [zone for zone in zones if zone.minutes is not None]
    return RouterRecord(
        plates=plates, zones=tuple(zones), whites=plain(box(0.05, 0.05, 0.12, 0.4)), whites_area=0.0245, nails=nails,
        nail_width=0.18, near=tuple(near), length=sum(zone.length for zone in cut),
        travel=sum(zone.travel for zone in cut), travel_nearest=1.2 * sum(zone.travel for zone in cut) + 0.1,
        lifts=sum(zone.lifts for zone in cut), minutes=sum(zone.minutes or 0 for zone in cut),
        chips=sum(zone.chips for zone in zones),
    )  # fmt: skip


def _zone(number: int, cutter: float | None, part: Polygon) -> RouterZone:
    paths: list[Any] = []
    inwards = (cutter or 0) / 2 - 1e-4
    while cutter is not None:
        rings = [
            ring for one in shape_of(plain(part.buffer(-inwards))).geoms for ring in (one.exterior, *one.interiors)
        ]
        if not rings:
            break
        paths += [tuple(ring.coords) for ring in rings]
        inwards += 0.6 * cutter
    length = sum(LineString(path).length for path in paths)
    return RouterZone(
        number=number, cutter=cutter, depth=0.03125 if part.area < 1 else 0.05,
        depth_for="line" if part.area < 1 else "open",
        area=part.area, shape=plain(part), paths=tuple(paths), length=length, travel=0.5 * len(paths),
        lifts=len(paths),
        minutes=None if cutter is None else length / 20, chips=part.area * 0.007,
    )  # fmt: skip


def routed_plan() -> Plan:
    """The plan made by hand, with art on a few films, the router's work on every plate, and copies for the camera."""
    day = hand_made()
    arts = {
        "J1042/Fencing poster F/1": art_record("poster", letter_f(6, 7), (6, 7), 50.0, kind="silhouette"),
        "J1201/Label F/1": art_record("label", letter_f(2, 3.5), (2, 3.5), 75.0, light_on_dark=True, page=2),
        "J1201/Stamp/1": art_record("label-small", letter_f(2, 3.5), (1, 1.4), 40.1, unit=UNIT / 2.5, mirrored=True,
                                    crop=(0.0, 0.0, 0.125, 0.25)),
        "J1081/Rose/red/1": art_record("rose", blot(4, 4), (4, 4), 40.0, kind="drop-out"),
        "J1077/Notched seal/1": art_record("seal", lines_of_type(3, 2), (3, 2), 100.0),
    }  # fmt: skip
    at = {
        "J1042/Fencing poster F/1": (1, 0, 0, 1, 1, 0.75),
        "J1201/Label F/1": (1, 0, 0, 1, 0.5, 0.5),
        "J1201/Stamp/1": (1, 0, 0, 1, 0.5, 0.3),
        "J1081/Rose/red/1": (0, 1, -1, 0, 4.5, 0.5),
        "J1077/Notched seal/1": (1, 0, 0, 1, 0.4, 3),
    }
    day = with_art(day, arts, at)
    work = {}
    for plate in day.plates:
        key = plate.id.rsplit("/", 1)[0] if plate.copies > 1 else plate.id
        work.setdefault(key, []).append(plate)
    router = tuple(
        router_record(tuple(plate.id for plate in plates), plates[0],
                      box(4.8, 0.5, 5.4, 1.1) if plates[0].name == "Notched seal" else None)
        for plates in work.values()
    )  # fmt: skip
    copies = [CopyRecord(plates=(plate,), film=1, art=record.id, percentage=record.percentage)
              for plate, record in arts.items()]  # fmt: skip
    groups: dict[int, list[CopyRecord]] = {}
    for copy in sorted(copies, key=lambda copy: -copy.percentage):
        groups.setdefault(round(copy.percentage), []).append(copy)
    camera = tuple(
        CameraRecord(percentage=(group[0].percentage + group[-1].percentage) / 2,
                     spread=group[0].percentage - group[-1].percentage, copies=tuple(group))
        for group in groups.values()
    )  # fmt: skip
    return day.model_copy(update={"router": router, "camera": camera})


@pytest.fixture(scope="session")
def routed() -> Plan:
    return routed_plan()


@pytest.fixture(scope="session")
def kinds_drawn() -> list[tuple[str, dict[str, Look]]]:
    """The kinds on each sheet of ``files`` and ``routed_files``, noted while those are drawn."""
    return []


def _drawn(plan: Plan, kinds: list[tuple[str, dict[str, Look]]]) -> dict[str, str]:
    used = Canvas.used

    def noted(canvas: Canvas) -> list[tuple[str, str]]:
        kinds.append((canvas.name, {kind: canvas._looks[kind] for kind, _ in used(canvas)}))
        return used(canvas)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Canvas, "used", noted)
        return sheet_files(plan)


@pytest.fixture(scope="session")
def routed_files(routed: Plan, kinds_drawn: list[tuple[str, dict[str, Look]]]) -> dict[str, str]:
    return _drawn(routed, kinds_drawn)


@pytest.fixture(scope="session")
def plan() -> Plan:
    return hand_made()


@pytest.fixture(scope="session")
def files(plan: Plan, kinds_drawn: list[tuple[str, dict[str, Look]]]) -> dict[str, str]:
    return _drawn(plan, kinds_drawn)


@pytest.fixture(scope="session")
def build() -> Callable[..., Plan]:
    """Give a plan of one flat with the given plates in one row each."""

    def one(rows: list[tuple[float, list[Art]]], size: tuple[float, float] = (12, 10), kerf: float = 0.0) -> Plan:
        return make_plan(make_flat(1, "zinc", size, kerf, rows))

    return one


@pytest.fixture(scope="session")
def art() -> type[Art]:
    return Art
