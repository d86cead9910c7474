"""Days, plates and houses in a line or two, and random small days for property tests."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

from planner.flats import Search
from planner.house import House, house_from
from planner.orders import orders_from
from planner.plan import Plan
from planner.planning import make_plan
from planner.plates import OrderedPlate, plates_of
from planner.rules import Rules, load_rules
from planner.testing import a_day


def a_house(**tables: Any) -> House:
    return house_from(tables, "house.toml")


def rules_of(house: House) -> Rules:
    return load_rules(house, "house.toml")


def a_plate(house: House | None = None, **keys: Any) -> OrderedPlate:
    return plates_of(orders_from(a_day(keys), "orders.toml"), house or a_house())[0]


def planned(tables: dict[str, Any], house: House | None = None, **options: Any) -> Plan:
    house = house or a_house()
    return make_plan(orders_from(tables, "orders.toml"), house, rules_of(house), Search(**options))


def inches(low: int, high: int) -> st.SearchStrategy[str]:
    """Lengths in sixteenths, and now and then in other units."""
    return st.one_of(
        st.integers(low * 16, high * 16).map(lambda n: f"{n // 16} {n % 16}/16 in"),
        st.integers(low * 25, high * 25).map(lambda n: f"{n} mm"),
        st.integers(low * 6, high * 6).map(lambda n: f"{n}p{n % 12}"),
    )


def sizes(low: int = 1, high: int = 7) -> st.SearchStrategy[str]:
    return st.tuples(inches(low, high), inches(low, high)).map(" x ".join)


@st.composite
def outlines(draw: st.DrawFn) -> dict[str, Any]:
    """A notched or mortised plate, or a disc."""
    kind = draw(st.sampled_from(["notch", "mortise", "disc"]))
    width, height = draw(st.integers(2, 6)), draw(st.integers(2, 6))
    corners = [(0, 0), (width, 0), (width, height), (0, height)]
    if kind == "disc":
        return {"unit": "in", "path": f"M0 1 A1 1 0 0 1 {width} 1 A1 1 0 0 1 0 1 Z"}
    if kind == "notch":
        corners = [(0, 0), (width, 0), (width, 1), (1, 1), (1, height), (0, height)]
        return {"points": [f"{x}, {y} in" for x, y in corners]}
    hole = [(0.5, 0.5), (width - 0.5, 0.5), (width - 0.5, height - 0.5), (0.5, height - 0.5)]
    return {"points": [f"{x}, {y} in" for x, y in corners], "holes": [[f"{x}, {y} in" for x, y in hole]]}


@st.composite
def negatives(draw: st.DrawFn) -> list[dict[str, Any]]:
    """A line image and an overlay-bearing picture, not always where they should be."""
    found: list[dict[str, Any]] = []
    if draw(st.booleans()):
        found.append({"kind": "line", "size": draw(sizes(1, 3)), "at": "1/4, 1/4 in"})
    if draw(st.booleans()):
        found.append({"kind": draw(st.sampled_from(["square", "silhouette", "drop-out"])), "name": "picture"})
        if draw(st.booleans()):
            use = draw(st.sampled_from(["surprint", "reverse"]))
            overlay = {"kind": "line", "use": use, "film": draw(sizes(1, 8)), "angle": draw(st.sampled_from([0, 1.5]))}
            found.append(overlay)
    return found


@st.composite
def plates(draw: st.DrawFn) -> dict[str, Any]:
    plate: dict[str, Any] = {
        "metal": draw(st.sampled_from(["zinc", "copper"])),
        "quantity": draw(st.sampled_from([1, 1, 1, 2, 5])),
        "may_turn": draw(st.booleans()),
    }
    if draw(st.integers(0, 3)):
        plate["size"] = draw(st.one_of(sizes(), st.just("30 x 20 in")))
        plate["mounting"] = draw(st.sampled_from(["bevelled", "flush", "nailed", "unmounted"]))
        plate["bleed"] = draw(st.lists(st.sampled_from(["left", "right", "bottom", "top"]), unique=True))
    else:
        plate["outline"] = draw(outlines())
    plate["negatives"] = draw(negatives())
    if plate["negatives"] or draw(st.booleans()):
        plate["screen"] = draw(st.sampled_from([65, 120, 175]))
    if draw(st.integers(0, 7)) == 0:
        plate["colours"] = ["yellow", "red", "blue", "black"]
    return plate


@st.composite
def days(draw: st.DrawFn) -> dict[str, Any]:
    """The tables of any valid small order file."""
    jobs = []
    for number in range(draw(st.integers(1, 3))):
        entries = [{"name": f"P{place}", **draw(plates())} for place in range(draw(st.integers(1, 3)))]
        jobs.append({"number": str(100 + number), "rush": draw(st.booleans()), "plates": entries})
    return {"jobs": jobs}


@st.composite
def houses(draw: st.DrawFn) -> dict[str, Any]:
    """The tables of a house that cuts by shear or saw, with little or much metal."""
    count = draw(st.sampled_from([None, 1, 3]))
    stock = {} if count is None else {"count": count}
    how = draw(st.sampled_from(["shear", "saw"]))
    return {
        "cutting": {"how": how, "gap": draw(st.sampled_from(["0 in", "1/8 in", "3 mm"]))},
        "glass": {
            "grip": draw(st.sampled_from(["0 in", "1/2 in"])),
            "size": draw(st.sampled_from(["30 x 40 in", "16 x 20 in"])),
        },
        "sheets": [
            {"metal": "zinc", "size": "18 x 24 in", **stock},
            {"metal": "zinc", "size": "600 x 400 mm", "remnant": True, "count": 1},
            {"metal": "copper", "size": "20 x 24 in", **stock},
        ],
    }  # fmt: skip
