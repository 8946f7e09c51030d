"""What the reports say, as values: from a season's results to its documents. Nothing is printed here."""

from __future__ import annotations

from pipeline.documents.buyer import buyer_document
from pipeline.documents.crew_sheet import crew_sheet_document
from pipeline.documents.intake import intake_document
from pipeline.documents.manager import manager_document
from pipeline.documents.model import Document
from pipeline.documents.owner import owner_document
from pipeline.documents.rate_card import rate_card_document
from pipeline.documents.results import Results

__all__ = [
    "Document",
    "Results",
    "build_documents",
    "build_intake_document",
    "buyer_document",
    "crew_sheet_document",
    "intake_document",
    "manager_document",
    "owner_document",
    "rate_card_document",
]

build_intake_document = intake_document


def build_documents(results: Results) -> tuple[Document, ...]:
    """The four reports of a season, the sheet to hang up, and the rate card's sheet where there is one."""
    card = rate_card_document(results)
    return (
        owner_document(results),
        manager_document(results),
        buyer_document(results),
        intake_document(results),
        crew_sheet_document(results),
        *([card] if card else []),
    )
