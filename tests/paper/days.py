"""A small day drawn: one copper flat with plates that are like their mirror images in no way, and names that bite."""

from __future__ import annotations

from functools import cache
from xml.etree import ElementTree

from planner.flats import Search
from planner.orders import orders_from
from planner.plan import Plan
from planner.planning import make_plan
from planner.rules import load_rules
from planner.sheets.folder import sheet_files

from ..days import a_day, a_house

SVG = "{http://www.w3.org/2000/svg}"
NAMES = ("<script>alert('x')</script> & \"quotes\"", "\u05e9\u05dc\u05d5\u05dd 12", "very long name " * 5)


@cache
def plan() -> Plan:
    house = a_house(sheets=[{"metal": "copper", "size": "8 x 10 in"}])
    notched = {"points": ["0, 0 in", "3, 0 in", "3, 1 in", "1, 1 in", "1, 2 in", "0, 2 in"]}
    plates = [
        {"name": NAMES[0].replace("/", ""), "size": "3 x 2 in", "negatives": [
            {"kind": "square"}, {"kind": "line", "use": "surprint", "film": "2 x 1 in", "angle": 3}]},
        {"name": NAMES[1], "outline": notched, "negatives": [
            {"kind": "line", "size": "1 x 1/2 in", "at": "1/4, 1/4 in"}]},
        {"name": NAMES[2].strip(), "size": "2 x 1 in", "tints": [
            {"pattern": "No. 3", "size": "1/2 x 1/2 in", "at": "1/4, 1/4 in"}]},
    ]  # fmt: skip
    orders = orders_from(a_day(*({"metal": "copper", "screen": 120, **plate} for plate in plates)), "orders.toml")
    return make_plan(orders, house, load_rules(house, "house.toml"), Search(iterations=0))


@cache
def sheets() -> dict[str, str]:
    return sheet_files(plan())


def plain(markup: str) -> str:
    """A sheet without its texts and hatches: fonts differ, and PDFium lays a hatch's tiles on whole dots."""
    root = ElementTree.fromstring(markup)
    for parent in list(root.iter()):
        for child in [child for child in parent if child.tag == f"{SVG}text"]:
            parent.remove(child)
    for element in root.iter():
        if element.get("fill", "").startswith("url("):
            element.set("fill", "none")
    return ElementTree.tostring(root, encoding="unicode")
