"""The sentence over the fill button: what a fill will put in the box."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QLabel

from app.words import said

if TYPE_CHECKING:
    from layout.model import Project


class AskedLine(QLabel):
    """Hidden while there is one master and nothing asked of it: then the button says it all."""

    def __init__(self) -> None:
        super().__init__()
        self.setWordWrap(True)
        self.setProperty("role", "quiet")
        self.hide()

    def show_project(self, project: Project) -> None:
        """Say what a fill of this project will do."""
        sentence = ""
        if len(project.masters) > 1 or any(m.wanted is not None for m in project.masters):
            from layout.fill.asked import asked_sentence

            sentence = said(asked_sentence(project))
        self.setText(sentence)
        self.setVisible(bool(sentence))
