"""From an art file to what prints: one way from any drawing, scan or PDF page to shapes at reproduction size."""

from planner.artwork.reading import read_art
from planner.artwork.records import ArtError, Artwork, Asked, Mismatch

__all__ = ["ArtError", "Artwork", "Asked", "Mismatch", "read_art"]
