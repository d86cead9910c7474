"""Nesting: rectangles onto sheets by edge-to-edge cuts. Integers in, integers out.

problem    the records, and what a sound problem is
solving    a problem taken apart, searched and reported: `solve`
workers    several searches at once
holding    which stock can hold a piece at all
bundling   pieces that must share a sheet
task       pieces and stock as the search wants them
course     one task from the first answer to the last: levels, exact or patched search, ties
search     ruin and recreate towards a goal
choosing   the same where there are several kinds of sheet: sets of sheets tried in turn
patches    the same for plans of very many sheets
exact      all plans for a handful of pieces
polishing  ties settled
first      the first answer
placing    where a piece goes, and which sheet to open
answer     a plan and what it is judged by
naming     who is who among pieces of one size
rooms      one sheet: its trees and rooms
slicing    trees of pieces, as open as can be
sizes      which sizes fit a room
keepouts   sheets with boxes to keep out of
slabs      trees made into cuts
limits     what the shears can do
bounds     what no plan can beat
records    sheets as records

Free layouts of any polygon have an entrance of their own, `saw.py`, and their rooms are the modules saw_*.
"""

from .problem import (
    Bound,
    Layout,
    LeftOut,
    Options,
    Part,
    Piece,
    Placement,
    Progress,
    Solution,
    Stock,
)
from .solving import solve

__all__ = [
    "Bound",
    "Layout",
    "LeftOut",
    "Options",
    "Part",
    "Piece",
    "Placement",
    "Progress",
    "Solution",
    "Stock",
    "solve",
]
