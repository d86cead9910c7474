"""The router's work on one plate: dead metal, what cutters reach of it, and in which order they take it."""

from planner.routing.records import Nails, Piece, RouterWork, Stretch, Zone
from planner.routing.zones import dead_metal, zones_of

__all__ = ["Nails", "Piece", "RouterWork", "Stretch", "Zone", "dead_metal", "zones_of"]
