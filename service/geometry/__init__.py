"""Flat shapes in millimetres; knows no leather."""

from service.geometry.outlines import End, end_radius, end_taper, rectangle, strap_outline
from service.geometry.shapes import Point, area, bounds, edge_distance, holds

__all__ = [
    "End",
    "Point",
    "area",
    "bounds",
    "edge_distance",
    "end_radius",
    "end_taper",
    "holds",
    "rectangle",
    "strap_outline",
]
