"""A season's files: papers are set beside the others, and an error of any of them is the run's."""

from __future__ import annotations

from pathlib import Path

import pytest
from support.made_results import made_results

from pipeline.documents import build_documents
from pipeline.documents.model import Document
from pipeline.flows.reports import write_documents
from pipeline.render import pdf, pdf_of


@pytest.fixture(scope="module")
def documents() -> tuple[Document, ...]:
    return build_documents(made_results())[:2]


def test_papers_that_are_set_beside_are_those_that_are_set_alone(
    documents: tuple[Document, ...], tmp_path: Path
) -> None:
    seen: list[bool] = []

    def other() -> dict[str, Path]:
        seen.append((tmp_path / "figures.json").exists())
        return {"other": tmp_path / "other"}

    written = write_documents(documents, tmp_path, other)
    first, second = documents
    assert list(written) == [first.name, f"{first.name}-pdf", second.name, f"{second.name}-pdf", "figures", "other"]
    assert seen == [True]
    for document in documents:
        assert written[f"{document.name}-pdf"].read_bytes() == pdf_of(document)


def test_a_paper_that_cannot_be_set_fails_the_run_and_leaves_no_half_of_it(
    documents: tuple[Document, ...], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    set_paper = pdf._set

    def fail(data: str) -> bytes:
        if documents[1].title in data:
            raise ValueError("no such glyph")
        return set_paper(data)

    monkeypatch.setattr(pdf, "_set", fail)
    with pytest.raises(ValueError, match="no such glyph"):
        write_documents(documents, tmp_path)
    assert sorted(path.name for path in tmp_path.glob("*.pdf*")) == [f"{documents[0].name}.pdf"]


def test_a_file_that_cannot_be_written_fails_the_run(documents: tuple[Document, ...], tmp_path: Path) -> None:
    def other() -> dict[str, Path]:
        raise OSError("no room")

    with pytest.raises(OSError, match="no room"):
        write_documents(documents, tmp_path, other)
