from __future__ import annotations

from typing import Any

import pytest
from flatwright_rules import screen_bands
from flatwright_rules.screen_bands import BandSettings, flatwright_inspect_plate, flatwright_sharing, stages_of
from pydantic import ValidationError

from planner.forms import InputError
from planner.hookspecs import Finding
from planner.plates import OrderedPlate, plates_of
from planner.testing import findings_of, planned, steps_of

from ..days import a_house, a_plate, orders_from

SETTINGS = BandSettings()


def on(paper: str | None, screen: int | None = 120) -> OrderedPlate:
    """A plate of a job that names its paper."""
    plate: dict[str, Any] = {"name": "P", "metal": "copper", "size": "3 x 4 in"}
    job: dict[str, Any] = {"number": "7", "plates": [plate | ({"screen": screen} if screen else {})]}
    return plates_of(orders_from({"jobs": [job | ({"paper": paper} if paper else {})]}, "a test"), a_house())[0]


def found(paper: str | None, screen: int | None, **settings: Any) -> list[Finding]:
    return list(flatwright_inspect_plate(on(paper, screen), BandSettings.model_validate(settings)))


@pytest.mark.parametrize(
    ("screen", "band"),
    [
        (None, "line"),
        (65, "screens to 100"),
        (100, "screens to 100"),
        (101, "screens 101 to 150"),
        (175, "screens over 150"),
    ],
)
def test_screen_bands_decide_what_may_share_a_flat(screen: int | None, band: str) -> None:
    keys = {"size": "3 x 4 in"} | ({"screen": screen} if screen else {})
    (sharing,) = flatwright_sharing(a_plate(**keys), BandSettings())
    assert (sharing.kind, sharing.key) == ("apart", band)


@pytest.mark.parametrize(
    ("paper", "screen"),
    [
        ("newsprint", 45),  # Binkley, Manual on Methods of Reproducing Research Materials (1936), p. 86: 45 to 65.
        ("newsprint", 65),  # Hitchcock, The Building of a Book (1906): 65.
        ("book", 100),  # Ridgway, The Preparation of Illustrations (1920), p. 76: 100 or 120 on a text page.
        ("book", 120),
        ("magazine", 120),  # Ridgway, p. 75: 120 to 150; Binkley, p. 86: 120 to 155.
        ("magazine", 155),
        ("super-calendered", 100),  # Australian trade-school notes on blocks, p. 13.
        ("imitation art", 133),
        ("coated", 175),
        ("heavily coated", 200),  # Ridgway, p. 76: 200 only on heavily coated stock.
    ],
)
def test_published_screens_suit_their_papers(paper: str, screen: int) -> None:
    assert found(paper, screen) == []


@pytest.mark.parametrize(
    ("paper", "screen", "code", "amount"),
    [
        ("newsprint", 80, "screen.too-fine", 15),  # De Bower, Advertising Principles, sec. 20: 80 is too fine already.
        ("coated", 200, "screen.too-fine", 25),  # Ridgway, p. 76, keeps 200 for heavily coated stock.
        ("magazine", 65, "screen.too-coarse", 55),
    ],
)
def test_a_screen_that_does_not_suit_the_paper_is_said_with_both_limits(
    paper: str, screen: int, code: str, amount: int
) -> None:
    (finding,) = found(paper, screen)
    assert (finding.code, finding.severity, finding.amount) == (code, "warn", amount)
    assert str(screen) in finding.message
    _, coarsest, finest = next(row for row in SETTINGS.papers if row[0] == paper)
    assert f"{coarsest} to {finest} lines" in finding.cure


def test_case_and_hyphens_make_no_other_paper() -> None:
    assert [finding.code for finding in found("Super  Calendered", 133)] == ["screen.too-fine"]


def test_line_work_and_jobs_without_a_paper_are_left_alone() -> None:
    assert found("newsprint", None) == []
    assert found(None, 200) == []


def test_an_unknown_paper_is_a_note_with_the_nearest_known_one() -> None:
    jobs = [
        {"number": number, "paper": paper, "plates": [
            {"name": name, "metal": "zinc", "size": "3 x 3 in", "screen": 133} for name in "AB"
        ]}
        for number, paper in (("1", "super calandered"), ("2", "vellum"), ("3", "super calandered"), ("4", "newsprint"))
    ]  # fmt: skip
    plan = planned({"jobs": jobs}, screen_bands)
    near, far = findings_of(plan, code="screen.unknown-paper")
    assert "of jobs 1, 3, so" in near.message
    assert "of job 2, so" in far.message
    assert (near.code, near.severity) == ("screen.unknown-paper", "note")
    assert 'did you mean "super-calendered"' in near.cure
    assert "newsprint, machine finish, english finish" in far.cure


def test_the_house_has_papers_of_its_own() -> None:
    assert [finding.code for finding in found("vellum", 133, papers=[["vellum", 65, 85]])] == ["screen.too-fine"]


@pytest.mark.parametrize(
    ("settings", "said"),
    [
        ({"papers": [["vellum", 85, 65]]}, 'like ["vellum", 65, 85]'),
        ({"papers": [["vellum", 65, 85], ["Vellum", 65, 85]]}, 'names the paper "vellum" twice'),
        ({"papers": [["vellum", 65, 85.5]]}, "integer"),
        ({"bands": [150, 100]}, "must rise from band to band"),
        ({"stages": []}, "at least 1"),
    ],
)
def test_a_house_that_contradicts_itself_is_refused(settings: dict[str, Any], said: str) -> None:
    with pytest.raises(ValidationError) as refused:
        BandSettings.model_validate(settings)
    assert said in str(refused.value)


@pytest.mark.parametrize(("screen", "stages"), [(None, 4), (65, 3), (100, 3), (133, 2), (150, 2), (175, 1)])
def test_coarse_screens_are_etched_in_more_stages(screen: int | None, stages: int) -> None:
    assert stages_of(screen, SETTINGS) == stages


def test_the_last_number_of_stages_serves_all_finer_bands() -> None:
    settings = BandSettings.model_validate({"bands": [65, 100, 150], "stages": [3, 2]})
    assert [stages_of(screen, settings) for screen in (65, 85, 133, 200)] == [3, 2, 2, 2]


def test_every_flat_says_its_stages_to_the_etcher() -> None:
    plates = [{"name": f"P{screen}", "metal": "zinc", "size": "2 x 2 in", "screen": screen} for screen in (65, 85)]
    plates.append({"name": "Line", "metal": "zinc", "size": "2 x 2 in"})
    plan = planned({"jobs": [{"number": "7", "paper": "newsprint", "plates": plates}]}, screen_bands)
    said = {step.words: (step.who, set(step.plates)) for step in steps_of(plan, "screen-bands")}
    assert said == {
        "Etch in 3 stages: screens to 100; here are halftones of 65, 85 lines to the inch.":
            ("etcher", {"7/P65", "7/P85"}),
        "Etch in 4 stages: line work.": ("etcher", {"7/Line"}),
    }  # fmt: skip
    assert [finding.plate for finding in findings_of(plan, code="screen.too-fine")] == ["7/P85"]


def test_a_paper_is_a_name() -> None:
    with pytest.raises(InputError, match=r'job 7, key "paper"'):
        on("news/print")
