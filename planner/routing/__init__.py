"""The router's work on one plate: dead metal, what cutters reach of it, and in which order they take it."""

from planner.routing.records import Nails, Piece, RouterWork, Stretch, Zone
from planner.routing.work import router_work
from planner.routing.zones import Metal, dead_metal, distances_for, metal_of, zones_of

__all__ = [
    "Metal",
    "Nails",
    "Piece",
    "RouterWork",
    "Stretch",
    "Zone",
    "dead_metal",
    "distances_for",
    "metal_of",
    "router_work",
    "zones_of",
]
