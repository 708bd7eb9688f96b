"""Where an export goes and as what: asked in the system's dialog, which begins with what was chosen last time."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QFileDialog

from app.words import tr
from layout.documents.page import PAPERS

if TYPE_CHECKING:
    from collections.abc import Callable

    from PySide6.QtWidgets import QComboBox, QWidget

    from app.settings import Settings
    from layout.units import Units


def ask_place(
    parent: QWidget, settings: Settings, what: str, name: str, kinds: str, write: Callable[[Path, str], None]
) -> QFileDialog:
    """Open the dialog for an export; when it is accepted, remember the kind and the folder, and write.

    Parameters
    ----------
    what : str
        What is exported: its kind of file is remembered under this.
    name : str
        What the file is to be called, without its ending.
    kinds : str
        The kinds of file, as a file dialog lists them: ``Page (*.pdf);;Table (*.csv)``.
    write : callable
        Takes the path and the kind that was chosen, as it stands in ``kinds``.
    """
    filters = kinds.split(";;")
    last = settings.remembered(f"export {what}")
    chosen = int(last) if last.isdigit() and int(last) < len(filters) else 0
    file = name.replace("/", "-").replace(" ", "-") + _ending(filters[chosen])
    dialog = QFileDialog(parent, tr("Export"), str(settings.last_folder / file), kinds)
    dialog.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)
    dialog.selectNameFilter(filters[chosen])
    dialog.setDefaultSuffix(_ending(filters[chosen]).lstrip("."))
    dialog.filterSelected.connect(lambda kind: _follow(dialog, filters, kind))

    def accepted() -> None:
        path, kind = Path(dialog.selectedFiles()[0]), dialog.selectedNameFilter()
        settings.remember(f"export {what}", str(filters.index(kind) if kind in filters else chosen))
        settings.last_folder = path.parent
        write(path, kind)

    dialog.accepted.connect(accepted)
    dialog.open()
    return dialog


def _ending(kind: str) -> str:
    found = re.search(r"\*(\.\w+)", kind)
    return found[1] if found else ""


def _follow(dialog: QFileDialog, filters: list[str], kind: str) -> None:
    """Let the name of the file end as its kind does; an ending that is none of ours is part of the name."""
    dialog.setDefaultSuffix(_ending(kind).lstrip("."))
    named = dialog.selectedFiles()
    if named and Path(named[0]).suffix in {_ending(f) for f in filters}:
        dialog.selectFile(str(Path(named[0]).with_suffix(_ending(kind))))


def show_paper(papers: QComboBox, settings: Settings, units: Units) -> None:
    """Choose the paper that was used last, at first the one usual with the user's unit."""
    last = settings.remembered("paper")
    index = papers.findData(last) if last in PAPERS else -1
    papers.setCurrentIndex(index if index >= 0 else max(0, papers.findData("letter" if units.length == "in" else "a4")))


def keep_paper(papers: QComboBox, settings: Settings) -> None:
    """Remember the paper the user chose, for every paper of the program."""
    settings.remember("paper", str(papers.currentData()))
