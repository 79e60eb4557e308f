"""Drawings of a pattern: one model, many writers. The only room that knows svgwrite and reportlab."""

from service.drawing.preview import Figures, figures, preview_svg

__all__ = ["Figures", "figures", "preview_svg"]
