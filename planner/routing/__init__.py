"""The router's work on one plate: dead metal, what cutters reach of it, and in which order they take it."""

from planner.routing.nails import LEAST as LEAST_NAILS
from planner.routing.nails import holds_flat
from planner.routing.records import Nails, Piece, RouterWork, Stretch, Zone
from planner.routing.work import router_work
from planner.routing.zones import dead_metal, distances_for, zones_of

__all__ = [
    "LEAST_NAILS",
    "Nails",
    "Piece",
    "RouterWork",
    "Stretch",
    "Zone",
    "dead_metal",
    "distances_for",
    "holds_flat",
    "router_work",
    "zones_of",
]
