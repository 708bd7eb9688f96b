"""The masters at the bench: positions left empty today, and what was measured on one of them."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtWidgets import QComboBox, QFormLayout, QGroupBox

from app.fields import TypedField, plain_number
from app.store import Store
from app.words import short, tr
from layout import edits
from layout.documents.pour_sheet.content import ranges
from layout.errors import LayoutError
from layout.model import Master, MasterId, Project
from layout.pour.measured import measured_undercut, measured_volume_ml
from layout.pour.today import empty_numbers, with_empty


class MastersGroup(QGroupBox):
    """One master at a time: a second volume and an undercut, each an undo step; empty takes it back."""

    def __init__(self, store: Store, growth: QFormLayout.FieldGrowthPolicy) -> None:
        super().__init__(tr("The masters today"))
        self._store = store
        self.empty = TypedField(tr("Positions left empty"))
        self.empty.setPlaceholderText(tr("none, or 3, 7-9"))
        self.empty.set_tip(tr("Positions that have no master yet: silicone stands there, and nothing is cast"))
        self.empty.editingFinished.connect(self._set_empty)
        self.master = QComboBox()
        self.master.setAccessibleName(tr("Master"))
        self.master.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.master.setMinimumContentsLength(14)
        self.master.currentIndexChanged.connect(lambda _index: self._show())
        self.volume = TypedField(tr("Volume, measured"))
        self.volume.setPlaceholderText(tr("2.35 mL or 2.43g@1.05"))
        self.volume.set_tip(
            tr(
                "Found another way than by its shape: 2.35 mL; weighed at a density in g/mL, 2.43g@1.05; or what a"
                " beaker of water on the scale gains when the part hangs in it, 2.307g@water"
            )
        )
        self.undercut = TypedField(tr("Undercut"))
        self.undercut.setPlaceholderText(tr("22/20: inside over neck"))
        self.undercut.set_tip(tr("The widest inside over the neck that the silicone is pulled through: 22/20, or 10 %"))
        self.volume.editingFinished.connect(self._set_volume)
        self.undercut.editingFinished.connect(self._set_undercut)
        form = QFormLayout(self)
        form.setFieldGrowthPolicy(growth)
        form.addRow(tr("Left empty"), self.empty)
        form.addRow(tr("Master"), self.master)
        form.addRow(tr("Volume, measured"), self.volume)
        form.addRow(tr("Undercut"), self.undercut)

    def show_project(self, project: Project) -> None:
        """Show the project's masters; the chosen one stays chosen."""
        chosen: MasterId | None = self.master.currentData()
        self.master.blockSignals(True)
        self.master.clear()
        for master in project.masters:
            self.master.addItem(master.name, master.id)
        self.master.setCurrentIndex(max(0, self.master.findData(chosen)) if project.masters else -1)
        self.master.blockSignals(False)
        self.setEnabled(bool(project.masters))
        if not (self.empty.hasFocus() and self.empty.isModified()):
            self.empty.setText(ranges(empty_numbers(project)))
            self.empty.mark("")
        self._show()

    def _master(self) -> Master | None:
        return next((m for m in self._store.project.masters if m.id == self.master.currentData()), None)

    def _show(self) -> None:
        master = self._master()
        volume = master.second_volume_ml if master else None
        strain = master.undercut if master else None
        for field, words in (
            (self.volume, "" if volume is None else f"{plain_number(volume)} mL"),
            (self.undercut, "" if strain is None else f"{plain_number(100.0 * strain, 1)} %"),
        ):
            if not (field.hasFocus() and field.isModified()):
                field.setText(words)
                field.mark("")

    def _set_empty(self) -> None:
        if not self.empty.isModified():
            return
        self.empty.setModified(False)
        try:
            after = with_empty(self._store.project, self.empty.text(), self.empty.accessibleName())
        except LayoutError as error:
            self.empty.mark(short(error))
            return
        self.empty.mark("")
        if after != self._store.project:
            self._store.apply(tr("Change: {what}", what=self.empty.accessibleName().lower()), after)

    def _set_volume(self) -> None:
        master, text = self._master(), _clean(self.volume.text())
        if master is None or not self.volume.isModified():
            return
        self.volume.setModified(False)
        try:
            value = measured_volume_ml(text, self.volume.accessibleName()) if text else None
        except LayoutError as error:
            self.volume.mark(short(error))
            return
        self._apply(self.volume, replace(master, second_volume_ml=value))

    def _set_undercut(self) -> None:
        master, text = self._master(), _clean(self.undercut.text())
        if master is None or not self.undercut.isModified():
            return
        self.undercut.setModified(False)
        try:
            value = measured_undercut(text, self.undercut.accessibleName()) if text else None
        except LayoutError as error:
            self.undercut.mark(short(error))
            return
        self._apply(self.undercut, replace(master, undercut=value))

    def _apply(self, field: TypedField, master: Master) -> None:
        field.mark("")
        what = tr("Change: {what}", what=field.accessibleName().lower())
        self._store.apply(what, edits.replace_master(self._store.project, master))
        self._show()


def _clean(text: str) -> str:
    return text.strip().replace(",", ".").replace(" ", "")
