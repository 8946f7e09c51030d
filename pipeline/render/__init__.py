"""From documents to files: pages of HTML, papers of PDF, the season's workbook, and every printed figure as JSON."""

from __future__ import annotations

from pipeline.render.figures import write_figures
from pipeline.render.html import html_of, index_of, pages_beside, write_html
from pipeline.render.pdf import pdf_of, start_pdf
from pipeline.render.season_workbook import SeasonBook, write_season_workbook

__all__ = [
    "SeasonBook",
    "html_of",
    "index_of",
    "pages_beside",
    "pdf_of",
    "start_pdf",
    "write_figures",
    "write_html",
    "write_season_workbook",
]
