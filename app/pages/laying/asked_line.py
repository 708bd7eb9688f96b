"""The sentence over the fill button: what a fill will put in the box."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel

from app.words import said, tr

if TYPE_CHECKING:
    from layout.model import Project


class AskedLine(QLabel):
    """Hidden while there is one master and nothing asked of it: then the button says it all.

    Where every master has a wanted number, a link fills with no more than they.
    """

    def __init__(self) -> None:
        super().__init__()
        self.setWordWrap(True)
        self.setTextFormat(Qt.TextFormat.RichText)
        self.setProperty("role", "quiet")
        # by keys it is reached in the menu
        self.setTextInteractionFlags(Qt.TextInteractionFlag.LinksAccessibleByMouse)
        self.sentence = ""
        self.hide()

    def show_project(self, project: Project) -> None:
        """Say what a fill of this project will do."""
        sentence = ""
        if len(project.masters) > 1 or any(m.wanted is not None for m in project.masters):
            from layout.fill.asked import asked_sentence

            sentence = said(asked_sentence(project))
        self.sentence = sentence
        self.setText(escape(sentence) + self._link(project) if sentence else "")
        self.setVisible(bool(sentence))

    def _link(self, project: Project) -> str:
        from layout.fill.asked import asks_for_numbers

        if not asks_for_numbers(project):
            return ""
        return f' <a href="no-more">{escape(tr("Fill with no more"))}</a>'
