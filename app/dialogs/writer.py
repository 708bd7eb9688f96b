"""Writes papers: those of a large project are made in a thread, and the line under them says so meanwhile."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QObject

from app.aside import Aside
from app.commands.exporting import write_export
from app.words import said, tr
from layout.errors import LayoutError

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from PySide6.QtWidgets import QLabel

WRITTEN: Final = "{path} written."


class Writer(QObject):
    """Makes one file at a time and tells in a label what became of it; the last asked for is the one that is written.

    Nothing is written of one that is given up: before a file is touched, all that goes into it is there.
    """

    def __init__(self, label: QLabel, sentence: Callable[[LayoutError], str] = said) -> None:
        super().__init__(label)
        self._label, self._sentence = label, sentence
        self.aside = Aside(self)

    def write(self, path: Path, data: Callable[[], bytes], *, large: bool) -> None:
        """Make the bytes and write them; the dialog that chose the place has asked before a file is replaced."""
        self._label.setText(tr("{path} is being made…", path=str(path)))
        self.aside.ask(lambda _stop: _made(data), lambda found: self._write(path, found), at_once=not large)

    def _write(self, path: Path, found: bytes | LayoutError) -> None:
        try:
            if isinstance(found, LayoutError):
                raise found
            write_export(path, found, force=True)
        except LayoutError as error:
            self._label.setText(f"▲ {self._sentence(error)}")
            return
        self._label.setText(tr(WRITTEN, path=str(path)))


def _made(data: Callable[[], bytes]) -> bytes | LayoutError:
    try:
        return data()
    except LayoutError as error:
        return error
