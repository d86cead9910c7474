"""The router's work on one plate: dead metal and what cutters reach of it."""

from planner.routing.zones import Zone, dead_metal, zones_of

__all__ = ["Zone", "dead_metal", "zones_of"]
