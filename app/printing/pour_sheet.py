"""The pour sheet as a file: PDF, HTML or CSV, told by the file's name. Qt is imported for the PDF alone."""

from collections.abc import Callable
from pathlib import Path

from layout.documents.page import Paper
from layout.documents.pour_sheet.content import SheetContent
from layout.errors import BadValueError
from layout.model import Project
from layout.wording import Say

Maker = Callable[[Project, SheetContent, Paper, Say, str], bytes]
"""Takes what writes the texts in the reader's language, and that language's tag, besides."""


def sheet_maker(path: Path, where: str) -> Maker:
    """Return what makes the kind of file that a name asks for.

    Raises
    ------
    BadValueError
        If the name ends in none of ``.pdf``, ``.html``, ``.csv``.
    """
    makers: dict[str, Maker] = {".pdf": _pdf, ".html": _html, ".htm": _html, ".csv": _csv}
    suffix = path.suffix.lower()
    if suffix not in makers:
        raise BadValueError(where, f"{path.name!r} is no kind of sheet", "name it .pdf, .html or .csv")
    return makers[suffix]


def _pdf(project: Project, content: SheetContent, paper: Paper, say: Say, language: str) -> bytes:
    from app.printing.paint import ensure_application, pages_to_pdf
    from layout.documents.pour_sheet.page import pour_pages

    del language
    ensure_application()
    return pages_to_pdf(pour_pages(project, content, paper, say), say(content.title))


def _html(project: Project, content: SheetContent, paper: Paper, say: Say, language: str) -> bytes:
    from layout.documents.pour_sheet.web import to_html

    return to_html(project, content, paper, say, language).encode()


def _csv(project: Project, content: SheetContent, paper: Paper, say: Say, language: str) -> bytes:
    from layout.documents.pour_sheet.table import to_csv

    # a table is read by programs: its words are the same in every language
    del paper, say, language
    return to_csv(project, content).encode()
