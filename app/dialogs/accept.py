"""Broken rules before an export: all of them listed, and a typed reason taken if it is to go on."""

from __future__ import annotations

from PySide6.QtWidgets import QDialog, QDialogButtonBox, QLabel, QLineEdit, QListWidget, QVBoxLayout, QWidget

from app.notes import AlarmLabel
from app.words import counted, said, tr
from layout.model import Finding
from layout.units import Units
from layout.wording import head, is_rule, message


class AcceptDialog(QDialog):
    """Lists what is broken; ``reason`` is what the user typed."""

    def __init__(self, findings: tuple[Finding, ...], units: Units, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        rules = all(is_rule(f) for f in findings)
        self.setWindowTitle(tr("Rules are broken") if rules else tr("This stops the sheet"))
        self.kinds = tuple(dict.fromkeys(f.kind for f in findings))
        column = QVBoxLayout(self)
        top = AlarmLabel()
        top.setText(
            counted(len(findings), "One rule of this layout is broken:", "{n} rules of this layout are broken:")
            if rules
            else counted(len(findings), "One point stops the sheet:", "{n} points stop the sheet:")
        )
        column.addWidget(top)
        self.list = QListWidget()
        self.list.setAccessibleName(tr("Broken rules"))
        self.list.setWordWrap(True)
        self.list.addItems([f"{tr(head(f))}: {said(message(f, units))}" for f in findings])
        column.addWidget(self.list)
        label = QLabel(tr("To export all the same, type the reason; it is printed with the project:"))
        label.setWordWrap(True)
        column.addWidget(label)
        self.reason_field = QLineEdit()
        self.reason_field.setAccessibleName(tr("Reason"))
        self.reason_field.setPlaceholderText(tr("why it may be so this time"))
        label.setBuddy(self.reason_field)
        column.addWidget(self.reason_field)
        self.buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel)
        self.go_on = self.buttons.addButton(tr("Export anyway"), QDialogButtonBox.ButtonRole.AcceptRole)
        self.go_on.setEnabled(False)
        column.addWidget(self.buttons)
        self.reason_field.textChanged.connect(lambda text: self.go_on.setEnabled(bool(text.strip())))
        self.buttons.accepted.connect(self.accept)
        self.buttons.rejected.connect(self.reject)
        self.reason_field.setFocus()
        self.resize(520, 340)

    @property
    def reason(self) -> str:
        return self.reason_field.text().strip()
