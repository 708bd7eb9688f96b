"""The pour sheet as one HTML file: no script, no font, no picture from elsewhere.

On the screen it flows with the window; printed, it is the very page of the PDF.
"""

from html import escape
from typing import Final

from layout.documents.page import A4, Paper
from layout.documents.page_svg import page_svg
from layout.documents.picture import layout_svg
from layout.documents.pour_sheet.content import Reading, SheetContent, grams
from layout.documents.pour_sheet.page import pour_pages
from layout.model import Project, Severity
from layout.wording import Say, as_written

_STYLE: Final = """
:root { color-scheme: light dark; }
body { font: 15px/1.35 sans-serif; max-width: 62em; margin: 1.2em auto; padding: 0 1em; }
h1 { font-size: 1.7em; margin: 0; } h2 { font-size: 1.15em; margin: 1em 0 .3em; }
.stop, .mind { border-left: .5em solid #c25700; padding: .3em .7em; margin: .4em 0; }
.stop { border-color: #8b0000; font-weight: bold; } .mind { border-color: #a06a00; }
table { border-collapse: collapse; width: 100%; }
td, th { text-align: left; padding: .3em .6em .3em 0; border-bottom: 1px solid #999; }
.reading { font-size: 1.7em; font-weight: bold; white-space: nowrap; }
.cols { display: grid; grid-template-columns: 1fr 1fr; gap: 1.4em; }
.cols svg { width: 100%; height: auto; background: #fff; }
ul.steps { list-style: none; padding: 0; } ul.steps li::before { content: "\\2610\\00a0"; }
ul { padding-left: 1.1em; margin: .2em 0; }
.paper { display: none; }
@media print {
  body { margin: 0; padding: 0; max-width: none; }
  .screen { display: none; }
  .paper { display: block; } .paper svg { display: block; page-break-after: avoid; }
  .paper svg + svg { page-break-before: always; }
}
@media (max-width: 40em) { .cols { grid-template-columns: 1fr; } }
"""


_NO_RESIN: Final = "No batch fits its pot life, or no cavity."


def to_html(
    project: Project, content: SheetContent, paper: Paper = A4, say: Say = as_written, language: str = "en"
) -> str:
    """Return the pour sheet as an HTML document in UTF-8, to be printed on one page of a paper.

    Parameters
    ----------
    say : callable
        What is written, in the reader's language.
    language : str
        The tag of that language, as HTML names it.
    """

    def told(words: str) -> str:
        return escape(say(words))

    size = f"@page {{ size: {paper.width_mm:g}mm {paper.height_mm:g}mm; margin: 0; }}"
    papers = "".join(page_svg(page) for page in pour_pages(project, content, paper, say))
    parts = [
        "<!DOCTYPE html>",
        f'<html lang="{escape(language)}"><head><meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f"<title>{told(content.title)}</title><style>{_STYLE}{size}</style></head><body>",
        f'<div class="paper" aria-hidden="true">{papers}</div>',
        '<div class="screen">',
        f"<h1>{told(content.title)}</h1><p>{told(content.subtitle)}</p>",
        *_warnings(content, say),
        f"<h2>{told(content.poured)}</h2>",
        _table(project, content.silicone, say),
        f"<h2>{told(f'Resin: {content.resin_name}')}</h2>",
        _table(project, content.resin, say) if content.resin else f"<p>{told(_NO_RESIN)}</p>",
        f"<h2>{told('Figures')}</h2><table>",
        *(f"<tr><th>{told(name)}</th><td>{told(value)}</td></tr>" for name, value in content.facts),
        "</table>",
        f"<h2>{told('Where each number is')}</h2>",
        f'<div class="cols">{_picture(project, False, say)}{_picture(project, True, say)}</div>',
        f'<div class="cols"><div><h2>{told("In this order")}</h2><ul class="steps">',
        *(f"<li>{told(step)}</li>" for step in content.checklist),
        f"</ul></div><div><h2>{told('Cautions')}</h2><ul>",
        *(f"<li>{told(words)}</li>" for words in content.cautions),
        "</ul></div></div></div></body></html>",
    ]
    return "\n".join(parts) + "\n"


def _picture(project: Project, mirrored: bool, say: Say) -> str:
    return f"<div>{layout_svg(project, mirrored=mirrored, say=say)}</div>"


def _warnings(content: SheetContent, say: Say) -> list[str]:
    found = []
    for severity, words in content.warnings:
        look = "stop" if severity == Severity.REFUSE else "mind"
        found.append(f'<p class="{look}">{escape(say(words))}</p>')
    found += [f'<p class="mind">{escape(say(f"Taken on: {words}"))}</p>' for words in content.accepted]
    return found


def _table(project: Project, readings: tuple[Reading, ...], say: Say) -> str:
    rows = []
    for reading in readings:
        cells = "".join(
            f'<td>{escape(say(words))} <span class="reading">{grams(value, project.pour.scale_step_g)}</span> g</td>'
            for words, value in reading.readings
        )
        rows.append(f"<tr><th>{escape(say(reading.name))}</th>{cells}<td>{escape(say(reading.note))}</td></tr>")
    told = escape(say("Cup tared to 0; pour in up to the reading."))
    return f"<p>{told}</p><table>{''.join(rows)}</table>"
