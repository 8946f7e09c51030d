"""From documents to files: a page of HTML, and every printed figure as JSON."""

from __future__ import annotations

from pipeline.render.figures import write_figures
from pipeline.render.html import html_of, write_html

__all__ = ["html_of", "write_figures", "write_html"]
