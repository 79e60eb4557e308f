"""Flat shapes in millimetres; knows no leather."""

from service.geometry.outlines import End, end_bends, end_radius, end_taper, rectangle, strap_outline
from service.geometry.shapes import Point, area, bounds
from service.geometry.swell import Swell, cut_out, inside, mirrored, upper_edge, width_at

__all__ = [
    "End",
    "Point",
    "Swell",
    "area",
    "bounds",
    "cut_out",
    "end_bends",
    "end_radius",
    "end_taper",
    "inside",
    "mirrored",
    "rectangle",
    "strap_outline",
    "upper_edge",
    "width_at",
]
