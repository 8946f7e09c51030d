"""From documents to files: pages of HTML, papers of PDF, and every printed figure as JSON."""

from __future__ import annotations

from pipeline.render.figures import write_figures
from pipeline.render.html import html_of, write_html
from pipeline.render.pdf import pdf_of, write_pdf

__all__ = ["html_of", "pdf_of", "write_figures", "write_html", "write_pdf"]
