"""Drawings of a pattern: one model, many writers. The only room that knows svgwrite, reportlab and ezdxf."""

from service.drawing.correction import AS_IT_IS, Correction
from service.drawing.document import Document, Section, document_pdf
from service.drawing.dxf_writer import pattern_dxf
from service.drawing.end_templates import templates_pdf
from service.drawing.full_scale import pattern_pdf, pattern_svg
from service.drawing.info_page import Heading
from service.drawing.marking_strip import strip_pdf
from service.drawing.preview import Figures, figures, preview_svg, told_apart
from service.drawing.size_run import run_pdf
from service.drawing.tape import tape_pdf
from service.drawing.tiles import Paper, SheetPaper

__all__ = [
    "AS_IT_IS",
    "Correction",
    "Document",
    "Figures",
    "Heading",
    "Paper",
    "Section",
    "SheetPaper",
    "document_pdf",
    "figures",
    "pattern_dxf",
    "pattern_pdf",
    "pattern_svg",
    "preview_svg",
    "run_pdf",
    "strip_pdf",
    "tape_pdf",
    "templates_pdf",
    "told_apart",
]
