"""Nesting: rectangles onto sheets by edge-to-edge cuts. Integers in, integers out.

problem    the records, and what a sound problem is
solving    a problem taken apart, searched and reported: `solve`
search     many fillings, the weakest sheets refilled
filling    pieces one after another onto sheets; which sheet to open
shear      one sheet under construction: cut tree and leftovers
bounds     what no plan can beat
records    filled sheets as records
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
