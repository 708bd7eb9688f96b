"""The one place that holds the Project: an undo stack of before and after, one signal when another is shown."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QUndoCommand, QUndoStack

from layout.model import Box as MoldBox
from layout.model import Project, RectBox

if TYPE_CHECKING:
    from pathlib import Path

    from layout.units import Units

_MERGE_IDS: dict[str, int] = {}


def empty_project(units: Units | None = None) -> Project:
    """Return what a new window starts with: an empty box of a common size and the default rules."""
    project = Project("", MoldBox(RectBox(215.9, 177.8)))
    return project if units is None else replace(project, units=units)


class Store(QObject):
    """The current Project, its file and its undo stack.

    Signals
    -------
    changed(Project)
        The Project to show is another one.
    file_changed()
        The path, or whether there are unsaved changes, is another.
    opened()
        Another project altogether is about to be shown.
    """

    changed = Signal(object)
    file_changed = Signal()
    opened = Signal()

    def __init__(self, project: Project | None = None, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._project = project or empty_project()
        self._path: Path | None = None
        self.undo_stack = QUndoStack(self)
        self.undo_stack.setUndoLimit(1000)
        self.undo_stack.cleanChanged.connect(self._clean_changed)
        self.read_only = False

    @property
    def project(self) -> Project:
        return self._project

    @property
    def path(self) -> Path | None:
        return self._path

    @property
    def is_modified(self) -> bool:
        return not self.undo_stack.isClean()

    def apply(self, text: str, after: Project, *, merge: str = "") -> bool:
        """Make this the Project, as one undo step; return whether anything changed.

        Parameters
        ----------
        text : str
            What was done, as the undo menu says it: "Move 3 cavities".
        merge : str
            Steps that follow one another with the same non-empty key become one (nudges with the arrow keys).
        """
        if after == self._project:
            return False
        self.undo_stack.push(_SetProject(self, self._project, after, text, merge))
        return True

    def open(self, project: Project, path: Path | None) -> None:
        """Show another project; the undo stack starts anew."""
        self._path = path
        self.undo_stack.clear()
        self.opened.emit()
        self._show(project)
        self.file_changed.emit()

    def open_unsaved(self, project: Project, path: Path | None) -> None:
        """Show a project that is not what its file holds (a recovered one): it counts as changed."""
        self.open(project, path)
        self.undo_stack.resetClean()
        self.file_changed.emit()

    def differs(self) -> None:
        """Count as changed from now on: the file holds something else, or is gone."""
        self.undo_stack.resetClean()
        self.file_changed.emit()

    def saved(self, path: Path) -> None:
        """Remember that the Project is what this file holds."""
        self._path = path
        self.undo_stack.setClean()
        self.file_changed.emit()

    def _clean_changed(self, _clean: bool) -> None:
        self.file_changed.emit()

    def _show(self, project: Project) -> None:
        self._project = project
        self.changed.emit(project)


class _SetProject(QUndoCommand):
    """The only command: one Project before, another after."""

    def __init__(self, store: Store, before: Project, after: Project, text: str, merge: str) -> None:
        super().__init__(text)
        self._store = store
        self._before = before
        self._after = after
        self._merge_id = _MERGE_IDS.setdefault(merge, len(_MERGE_IDS) + 1) if merge else -1

    def redo(self) -> None:
        self._store._show(self._after)

    def undo(self) -> None:
        self._store._show(self._before)

    def id(self) -> int:
        return self._merge_id

    def mergeWith(self, other: QUndoCommand) -> bool:
        if not isinstance(other, _SetProject):
            return False
        self._after = other._after
        self.setObsolete(self._after == self._before)
        return True
