"""Screen bands: which halftones are etched alike, in how many stages, and whether the paper can print their screens."""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from typing import Annotated, Final, TypeAlias

from pydantic import AfterValidator, Field, field_validator

from planner.hookspecs import Finding, Label, LaidDay, LaidFlat, OrderedPlate, Rule, Settings, Sharing, Step, hookimpl

Screen: TypeAlias = Annotated[int, Field(ge=20, le=600, strict=True)]
"""A screen's ruling in lines to the inch; the limits are those of the order file."""

Stages: TypeAlias = Annotated[int, Field(ge=1, le=20, strict=True)]


def _rising(paper: tuple[str, int, int]) -> tuple[str, int, int]:
    name, coarsest, finest = paper
    if coarsest > finest:
        raise ValueError(f'needs the coarsest screen before the finest, like ["{name}", {finest}, {coarsest}]')
    return paper


Paper: TypeAlias = Annotated[tuple[Label, Screen, Screen], AfterValidator(_rising)]
"""A kind of paper, the coarsest screen that is worth while on it and the finest that prints clean."""

_PAPERS: Final[tuple[tuple[str, int, int], ...]] = (
    # Binkley, Manual on Methods of Reproducing Research Materials (1936), p. 86: 45 to 65. De Bower, Advertising
    # Principles, sec. 20, holds 80 for too fine already; Hitchcock, The Building of a Book (1906), has 65 for papers.
    ("newsprint", 45, 65),
    # Common practice: between newsprint and the papers below.
    ("machine finish", 65, 100),
    # Common practice; its finest is the text page of a book in Ridgway (below).
    ("english finish", 85, 120),
    # Ridgway, The Preparation of Illustrations (1920), p. 76: 100 or 120 on a text page.
    ("book", 100, 120),
    # Australian trade-school notes on blocks, p. 13: 100; Ridgway, p. 76, lets a text page have 120.
    ("super-calendered", 100, 120),
    # Ridgway, p. 75: 120 to 150; Binkley, p. 86: 120 to 155.
    ("magazine", 120, 155),
    # The same trade-school notes, p. 13: 100, 120 and 133.
    ("imitation art", 100, 133),
    # The same notes, p. 13: 133, 150 and 175; magazines, mostly coated, begin at 120 (Ridgway, p. 75).
    ("coated", 120, 175),
    # Ridgway, p. 76: fine plates 150 to 175, and 200 only on heavily coated stock.
    ("heavily coated", 150, 200),
)


class BandSettings(Settings):
    """Which screens the house etches alike, and what it prints on which paper."""

    # Common practice.
    bands: Annotated[
        tuple[Screen, ...],
        Field(
            default=(100, 150),
            description="halftones share a flat within a band: screens up to the first, up to the second, above",
        ),
    ]
    # Common practice, in step with the depths of Encyclopaedia Britannica, "Photoengraving": 0.006 in at 65 lines,
    # 0.002 in at 133.
    stages: Annotated[
        tuple[Stages, ...],
        Field(
            default=(3, 2, 1),
            min_length=1,
            description="etching stages of each band, the coarsest first; the last number serves all finer bands",
        ),
    ]
    # Common practice: a first bite and three more, powdered from four sides before each.
    line_stages: Annotated[Stages, Field(default=4, description="etching stages of line work")]
    papers: Annotated[
        tuple[Paper, ...],
        Field(default=_PAPERS, description="kinds of paper, each with its coarsest and its finest screen"),
    ]

    @field_validator("bands")
    @classmethod
    def _rise(cls, bands: tuple[int, ...]) -> tuple[int, ...]:
        if list(bands) != sorted(set(bands)):
            raise ValueError("must rise from band to band, like [100, 150]")
        return bands

    @field_validator("papers")
    @classmethod
    def _differ(cls, papers: tuple[tuple[str, int, int], ...]) -> tuple[tuple[str, int, int], ...]:
        names = [_plain(name) for name, _, _ in papers]
        for name in names:
            if names.count(name) > 1:
                raise ValueError(f'names the paper "{name}" twice')
        return papers


@hookimpl
def flatwright_rule() -> Rule:
    """Say what the rule is."""
    return Rule(
        "screen-bands",
        "1.1",
        "halftones share a flat only with those etched alike, and suit the paper of their job",
        BandSettings,
    )


@hookimpl
def flatwright_sharing(plate: OrderedPlate, settings: BandSettings) -> Sequence[Sharing]:
    """Keep line plates and each band of halftones apart."""
    return [Sharing("apart", band_of(plate.screen, settings.bands), _WHY, "bands")]


_WHY = "plates of other screens are etched to another depth, in another number of stages"


@hookimpl
def flatwright_inspect_plate(plate: OrderedPlate, settings: BandSettings) -> Sequence[Finding]:
    """Hold a halftone's screen against the paper that its job is printed on."""
    if plate.screen is None or plate.paper is None:
        return []
    for name, coarsest, finest in settings.papers:
        if _plain(name) == _plain(plate.paper):
            return _unsuited(plate.screen, name, coarsest, finest)
    return []


@hookimpl
def flatwright_inspect_day(day: LaidDay, settings: BandSettings) -> Sequence[Finding]:
    """Name the papers of halftones that nothing is known of, each once with all its jobs."""
    known = [name for name, _, _ in settings.papers]
    unknown: dict[str, dict[str, None]] = {}
    for plate in day.plates.values():
        paper = day.jobs[plate.job].paper
        if plate.screen is not None and paper is not None and _plain(paper) not in map(_plain, known):
            unknown.setdefault(paper, {})[plate.job] = None
    return [_unknown(paper, list(jobs), known) for paper, jobs in unknown.items()]


@hookimpl
def flatwright_steps(flat: LaidFlat, settings: BandSettings) -> Sequence[Step]:
    """Say in how many stages the flat is etched."""
    plates: dict[str, list[str]] = {}
    screens: dict[str, set[int]] = {}
    stages: dict[str, int] = {}
    for laid in flat.plates:
        screen = laid.record.screen
        band = band_of(screen, settings.bands)
        plates.setdefault(band, []).append(laid.record.id)
        screens.setdefault(band, set()).update([] if screen is None else [screen])
        stages[band] = stages_of(screen, settings)
    return [
        Step("etcher", _stages_words(band, sorted(screens[band]), stages[band]), tuple(there))
        for band, there in plates.items()
    ]


def band_of(screen: int | None, bands: Sequence[int]) -> str:
    """Name the band of a screen in lines to the inch; None is line work."""
    if screen is None:
        return "line"
    lowest = 0
    for limit in bands:
        if screen <= limit:
            return f"screens {lowest + 1} to {limit}" if lowest else f"screens to {limit}"
        lowest = limit
    return f"screens over {lowest}" if lowest else "screens"


def stages_of(screen: int | None, settings: BandSettings) -> int:
    """Give the etching stages of a screen in lines to the inch; None is line work."""
    if screen is None:
        return settings.line_stages
    place = sum(1 for limit in settings.bands if screen > limit)
    return settings.stages[min(place, len(settings.stages) - 1)]


def _stages_words(band: str, screens: Sequence[int], stages: int) -> str:
    many = "one stage" if stages == 1 else f"{stages} stages"
    if not screens:
        return f"Etch in {many}: line work."
    lines = ", ".join(map(str, screens))
    return f"Etch in {many}: {band}; here are halftones of {lines} lines to the inch."


def _unsuited(screen: int, paper: str, coarsest: int, finest: int) -> list[Finding]:
    if screen > finest:
        return [
            Finding(
                "screen.too-fine",
                "warn",
                f"its screen of {screen} lines is too fine for {paper}, which prints {finest} at most: it will fill in",
                f"make the negative with a screen of {coarsest} to {finest} lines, or print on a smoother paper",
                amount=float(screen - finest),
            )
        ]
    if screen < coarsest:
        return [
            Finding(
                "screen.too-coarse",
                "warn",
                f"its screen of {screen} lines is coarser than {paper} needs, which begins at {coarsest}: its dots "
                "will show",
                f"make the negative with a screen of {coarsest} to {finest} lines, or agree on {screen} with the "
                "customer",
                amount=float(coarsest - screen),
            )
        ]
    return []


def _unknown(paper: str, jobs: Sequence[str], known: Sequence[str]) -> Finding:
    by_plain = {_plain(name): name for name in known}
    near = difflib.get_close_matches(_plain(paper), list(by_plain), n=1)
    hint = f'did you mean "{by_plain[near[0]]}"' if near else f"the house knows {', '.join(known) or 'none'}"
    return Finding(
        "screen.unknown-paper",
        "note",
        f'nothing is known of the paper "{paper}" of {"job" if len(jobs) == 1 else "jobs"} {", ".join(jobs)}, so no '
        "screen was held against it",
        f"{hint}; other papers are added in the house file, under [rules.screen-bands], key papers",
    )


def _plain(paper: str) -> str:
    """Let hyphens, case and spaces make no difference."""
    return " ".join(paper.casefold().replace("-", " ").replace("_", " ").split())
