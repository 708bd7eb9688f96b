"""Papers speak the user's language: every text passes the translation, whole, and finds its own."""

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

import pytest

from app import words
from app.example import example_project
from layout import edits
from layout.advice import advice
from layout.box.job import cut_job
from layout.checks import check
from layout.documents.cut_sheet import cut_sheet_pages
from layout.documents.mold_label import label_pages, labels_of
from layout.documents.page import A4, Page, Table, Text
from layout.documents.picture import layout_svg
from layout.documents.pour_sheet.content import sheet_content
from layout.documents.pour_sheet.page import pour_pages
from layout.documents.pour_sheet.web import to_html
from layout.documents.template import template_pages
from layout.model import KeepOut, KeepOutId, Project, RectBox
from layout.wording import Say
from tests.app.printing.test_pour_sheet import E1, PROJECTS
from tests.app.test_pseudo_language import untranslated, users_own
from tests.texts import texts


def several() -> dict[str, Project]:
    example = example_project()
    areas = edits.add_keep_outs(example, [KeepOut(KeepOutId(""), 10.0, 10.0, 8.0, 8.0, purpose="zzz")])
    broken = edits.move_cavities(areas, [areas.cavities[0].id], 3.0, 0.0)
    return {
        "the example": example,
        "one with broken rules, in inches": replace(broken, units=replace(broken.units, length="in")),
        "one on many pages": replace(E1, box=replace(E1.box, shape=RectBox(430.0, 320.0))),
        **{f"pour sheet, {name}": project for name, project in PROJECTS.items() if name != "pegs"},
    }


def papers(project: Project, say: Say) -> dict[str, tuple[Page, ...]]:
    content = sheet_content(project, (*check(project), *advice(project, "2026-03-31")), "2026-03-31")
    return {
        "template": template_pages(project, A4, say=say),
        "pour sheet": pour_pages(project, content, A4, say),
        "cut list": cut_sheet_pages(cut_job(project), A4, say),
        "labels": label_pages(project, labels_of(project, 2), A4, say),
    }


def told(page: Page) -> str:
    """All that is written on a page, in the order it is set."""
    found: list[str] = []
    for mark in page.marks:
        if isinstance(mark, Text):
            # where a long line was cut, its bracket went with the rest
            found.append("" if mark.words == "!" else re.sub(r"…$", "⟧", mark.words))
        elif isinstance(mark, Table):
            found += [words for row in (mark.head, *mark.rows) for words in row]
    return " ".join(found)


@pytest.mark.parametrize("name", list(several()))
def test_that_every_text_of_a_paper_passes_the_translation_whole(name: str) -> None:
    project = several()[name]
    known = {*users_own(project), *(str(area.id) for area in project.keep_outs)}
    for paper, pages in papers(project, lambda text: f"⟦{text}⟧").items():
        for number, page in enumerate(pages, start=1):
            assert untranslated(told(page), known) == "", f"{paper}, page {number}"


@pytest.fixture
def brackets() -> Iterator[None]:
    words.use({text: f"⟦{text}⟧" for text in texts()})
    yield
    words.use({})


@pytest.mark.usefixtures("brackets")
@pytest.mark.parametrize("name", list(several()))
def test_that_every_text_of_a_paper_finds_its_translation(name: str) -> None:
    project = several()[name]
    known, left = {*users_own(project), *(str(area.id) for area in project.keep_outs)}, {}

    def say(text: str) -> str:
        translated = words.said(text)
        rest = untranslated(translated, known)
        if rest:
            left[text] = rest
        return translated

    papers(project, say)
    content = sheet_content(project, (*check(project), *advice(project, "2026-03-31")), "2026-03-31")
    to_html(project, content, A4, say)
    layout_svg(project, say=say)
    assert not left, "\n".join(f"{text[:200]!r} -> {rest[:80]!r}" for text, rest in left.items())


MAKERS: dict[str, Callable[[Project, Any], object]] = {
    "pages": papers,
    "picture": lambda project, say: layout_svg(project, say=say),
}


@pytest.mark.parametrize("made", list(MAKERS))
def test_that_papers_without_a_language_are_as_they_are_written(made: str) -> None:
    project = example_project()
    assert MAKERS[made](project, words.said) == MAKERS[made](project, str)


@pytest.mark.usefixtures("brackets")
def test_that_the_web_page_names_its_language_and_speaks_it() -> None:
    project = example_project()
    html = to_html(project, sheet_content(project, ()), A4, words.said, "xx")
    assert '<html lang="xx">' in html
    plain = re.sub(r"<style>.*?</style>|<svg.*?</svg>|<[^>]+>", " ", html, flags=re.DOTALL)
    assert untranslated(plain, users_own(project)) == ""
