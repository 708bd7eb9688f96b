"""The forms that an empty box needs none of: of the chosen master and of the selected keep-out, made with the first."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QVBoxLayout

if TYPE_CHECKING:
    from app.canvas.desk import Desk
    from app.pages.laying.keep_out_form import KeepOutForm
    from app.pages.laying.master_form import MasterForm


class LateForms(QObject):
    """Makes each form when it is first needed, in the place kept for it.

    Attributes
    ----------
    master_place, keep_out_place : QVBoxLayout
        Where the page wants the forms.
    """

    def __init__(self, desk: Desk, parent: QObject) -> None:
        super().__init__(parent)
        self._desk = desk
        self._enabled = True
        self.master_place, self.keep_out_place = QVBoxLayout(), QVBoxLayout()
        desk.master_chosen.connect(self.show_master)
        desk.selection.changed.connect(self._selection_changed)

    @cached_property
    def master(self) -> MasterForm:
        """The form of the chosen master."""
        from app.pages.laying.master_form import MasterForm

        form = MasterForm(self._desk)
        form.wrong.connect(self._desk.told)
        form.setEnabled(self._enabled)
        self.master_place.addWidget(form)
        return form

    @cached_property
    def keep_out(self) -> KeepOutForm:
        """The form of the selected keep-out."""
        from app.pages.laying.keep_out_form import KeepOutForm

        form = KeepOutForm(self._desk)
        form.setEnabled(self._enabled)
        self.keep_out_place.addWidget(form)
        return form

    def show_master(self, *_chosen: object) -> None:
        """Show the chosen master as the project has it."""
        project = self._desk.store.project
        if project.masters or "master" in vars(self):
            self.master.show_project(project)

    def set_enabled(self, enabled: bool) -> None:
        """Let the forms be used, or not while a job is busy."""
        self._enabled = enabled
        for name in ("master", "keep_out"):
            if name in vars(self):
                getattr(self, name).setEnabled(enabled)

    def _selection_changed(self) -> None:
        if self._desk.selection.keep_outs and "keep_out" not in vars(self):
            _ = self.keep_out
