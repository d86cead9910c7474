"""What is wrong with a plate as ordered? One question a file; each check yields findings in the plate's frame."""

from __future__ import annotations

from collections.abc import Iterator

from planner.checks.artwork import check_artwork
from planner.checks.bleed import check_bleed
from planner.checks.coverage import check_coverage
from planner.checks.films import check_films, check_images, check_tints
from planner.checks.routing import check_routing
from planner.checks.squareness import check_squareness
from planner.findings import Finding
from planner.house import House
from planner.plates import OrderedPlate
from planner.routing import RouterWork


def check_plate(plate: OrderedPlate, house: House) -> Iterator[Finding]:
    """Put every question to one plate."""
    tolerance = house.film.register_tolerance
    yield from check_artwork(plate, house)
    yield from check_images(plate)
    yield from check_coverage(plate, tolerance)
    yield from check_squareness(plate, tolerance)
    yield from check_bleed(plate)
    yield from check_films(plate)
    yield from check_tints(plate)


def check_work(plate: OrderedPlate, work: RouterWork, house: House) -> Iterator[Finding]:
    """Put every question to the router's work on one plate."""
    yield from check_routing(plate, work, house)
