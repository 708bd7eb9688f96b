"""One calm look in light and dark: blue, orange and black or white, which every eye tells apart; never colour alone."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtGui import QColor, QGuiApplication, QPalette
from PySide6.QtWidgets import QApplication

if TYPE_CHECKING:
    from app.settings import Theme


@dataclass(frozen=True, slots=True)
class Look:
    """The colours of one look, ``#rrggbb``. Text on its ground has at least 4.5:1, marks at least 3:1."""

    dark: bool
    window: str
    panel: str
    field: str
    text: str
    quiet: str
    line: str
    accent: str
    accent_text: str
    alarm: str
    canvas: str
    silicone: str
    side: str
    grid: str
    cavity: str
    cavity_line: str
    pinned: str
    selected: str
    selected_line: str
    keep_out: str
    good: str


LIGHT: Final = Look(
    dark=False, window="#efece5", panel="#f8f6f1", field="#ffffff", text="#1b2733", quiet="#55616c", line="#c9c3b6",
    accent="#0a5c96", accent_text="#ffffff", alarm="#b04500", canvas="#e4e0d7", silicone="#fbf9f4", side="#4a5560",
    grid="#e3ded2", cavity="#d3e6f3", cavity_line="#0a5c96", pinned="#9fb8c9", selected="#ffe2b8",
    selected_line="#1b2733", keep_out="#77828c", good="#0a5c96",
)  # fmt: skip

DARK: Final = Look(
    dark=True, window="#20262c", panel="#272e35", field="#181d22", text="#e8ebee", quiet="#a9b4be", line="#46515b",
    accent="#6cb4ea", accent_text="#10161b", alarm="#ffa366", canvas="#14181c", silicone="#2b333a", side="#a9b4be",
    grid="#353f48", cavity="#1f4a68", cavity_line="#7cc0f2", pinned="#3d6076", selected="#6b4a1a",
    selected_line="#ffffff", keep_out="#97a3ad", good="#6cb4ea",
)  # fmt: skip


_MARKS: Final = (Path(__file__).resolve().parent.parent / "resources" / "marks").as_posix()


def palette_of(look: Look) -> QPalette:
    """Return the widgets' palette."""
    role, group = QPalette.ColorRole, QPalette.ColorGroup
    palette = QPalette(QColor(look.panel), QColor(look.window))
    for key, colour in {
        role.Window: look.window, role.WindowText: look.text, role.Base: look.field, role.AlternateBase: look.panel,
        role.Text: look.text, role.Button: look.panel, role.ButtonText: look.text, role.Highlight: look.accent,
        role.HighlightedText: look.accent_text, role.ToolTipBase: look.panel, role.ToolTipText: look.text,
        role.PlaceholderText: look.quiet, role.Link: look.accent, role.LinkVisited: look.accent,
        role.Accent: look.accent, role.BrightText: look.alarm, role.Mid: look.line, role.Midlight: look.line,
        role.Dark: look.line, role.Light: look.panel, role.Shadow: look.line,
    }.items():  # fmt: skip
        palette.setColor(key, QColor(colour))
    for key in (role.WindowText, role.Text, role.ButtonText):
        palette.setColor(group.Disabled, key, QColor(look.quiet))
    palette.setColor(group.Disabled, role.HighlightedText, QColor(look.text))
    palette.setColor(group.Disabled, role.Highlight, QColor(look.line))
    return palette


def style_sheet(look: Look) -> str:
    """Return the few rules that a palette can't say."""
    return f"""
    QToolTip {{ background: {look.panel}; color: {look.text}; border: 1px solid {look.line}; padding: 4px; }}
    QLineEdit {{ padding: 3px 6px; border: 1px solid {look.line};
        border-radius: 5px; background: {look.field}; color: {look.text}; selection-background-color: {look.accent}; }}
    QLineEdit {{ placeholder-text-color: {look.quiet}; }}
    QLineEdit:focus {{ border: 2px solid {look.accent};
        padding: 2px 5px; }}
    QLineEdit[wrong="true"] {{ border: 2px dashed {look.alarm}; padding: 2px 5px; }}
    QLineEdit:disabled {{ background: {look.panel}; color: {look.quiet}; }}
    QSpinBox {{ min-height: 1.5em; }}
    QPushButton {{ padding: 5px 12px; border: 1px solid {look.line}; border-radius: 6px; background: {look.panel};
        color: {look.text}; }}
    QPushButton:hover {{ border-color: {look.accent}; }}
    QPushButton:focus {{ border: 2px solid {look.accent}; padding: 4px 11px; }}
    QPushButton:pressed, QPushButton:checked {{ background: {look.accent}; color: {look.accent_text}; }}
    QPushButton:disabled {{ color: {look.quiet}; border-color: {look.line}; background: {look.window}; }}
    QPushButton[main="true"] {{ background: {look.accent}; color: {look.accent_text}; border-color: {look.accent};
        font-weight: 600; }}
    QPushButton[main="true"]:focus {{ border: 2px solid {look.text}; }}
    QPushButton[main="true"]:disabled {{ background: {look.window}; color: {look.quiet}; border-color: {look.line}; }}
    QPushButton[step="true"] {{ text-align: left; }}
    QTableView, QListWidget, QTreeView, QPlainTextEdit, QTextEdit {{ border: 1px solid {look.line};
        border-radius: 6px; background: {look.field}; alternate-background-color: {look.panel};
        gridline-color: {look.line}; }}
    QTableView:focus, QListWidget:focus, QTreeView:focus, QPlainTextEdit:focus, QGraphicsView:focus
        {{ border: 2px solid {look.accent}; }}
    QHeaderView::section {{ background: {look.panel}; color: {look.quiet}; border: none;
        border-bottom: 1px solid {look.line}; padding: 4px 6px; }}
    QGraphicsView {{ border: 2px solid {look.line}; background: {look.canvas}; }}
    QLabel[role="title"] {{ font-weight: 600; }}
    QLabel[role="quiet"] {{ color: {look.quiet}; }}
    QLabel[role="note"] {{ color: {look.text}; background: {look.panel}; border: 1px solid {look.alarm}; }}
    QLabel[role="alarm"] {{ color: {look.alarm}; font-weight: 600; }}
    QCheckBox::indicator, QAbstractItemView::indicator {{ width: 0.95em; height: 0.95em;
        border: 1px solid {look.quiet}; border-radius: 3px; background: {look.field}; }}
    QCheckBox::indicator:checked, QAbstractItemView::indicator:checked {{ background: {look.accent};
        border-color: {look.accent}; image: url({_MARKS}/check-{"dark" if look.dark else "light"}.svg); }}
    QAbstractItemView::indicator:unchecked:selected {{ background: {look.accent}; border-color: {look.accent_text}; }}
    QAbstractItemView::indicator:checked:selected {{ background: {look.field}; border-color: {look.accent_text};
        image: url({_MARKS}/check-{"light" if look.dark else "dark"}.svg); }}
    QCheckBox::indicator:disabled {{ border-color: {look.line}; background: {look.window}; }}
    QCheckBox:focus {{ color: {look.accent}; }}
    QStatusBar {{ border-top: 1px solid {look.line}; }}
    QStatusBar::item {{ border: none; }}
    QTabBar::tab {{ padding: 5px 12px; border: 1px solid {look.line}; border-bottom: none;
        border-top-left-radius: 6px; border-top-right-radius: 6px; margin-right: 2px; background: {look.window};
        color: {look.text}; }}
    QTabBar::tab:selected {{ background: {look.panel}; font-weight: 600; border-top: 3px solid {look.accent};
        padding-top: 3px; }}
    QTabBar::tab:hover:!selected {{ background: {look.line}; }}
    QTabBar::tab:selected:focus {{ border: 2px solid {look.accent}; padding: 3px 11px 4px 11px; }}
    QTabWidget::pane {{ border: 1px solid {look.line}; top: -1px; background: {look.panel}; }}
    QListWidget::item {{ padding: 3px 0px; }}
    QListWidget::item:focus:!selected, QTableWidget::item:focus:!selected {{ border: 2px solid {look.accent};
        background: {look.field}; color: {look.text}; }}
    QSplitter::handle {{ background: {look.window}; }}
    QMenu {{ border: 1px solid {look.line}; background: {look.panel}; }}
    QMenu::item {{ padding: 5px 24px 5px 24px; }}
    QMenu::item:selected, QMenuBar::item:selected {{ background: {look.accent}; color: {look.accent_text}; }}
    QMenu::item:disabled {{ color: {look.quiet}; background: transparent; }}
    QMenu::separator {{ height: 1px; background: {look.line}; margin: 4px 8px; }}
    """


class Themes(QObject):
    """Puts on the look that the user or the system asks for.

    Signals
    -------
    changed(Look)
    """

    changed = Signal(object)

    def __init__(self, choice: Theme = "system", parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._choice: Theme = choice
        self._dressed = False
        self.look = LIGHT
        app = QApplication.instance()
        # once for all windows: Qt deletes the old style, which other windows may be wearing
        if app is not None and app.property("styled") is None:
            app.setProperty("styled", True)
            QApplication.setStyle("Fusion")
        hints = QGuiApplication.styleHints()
        hints.colorSchemeChanged.connect(self._system_changed)
        self._put_on()

    @property
    def choice(self) -> Theme:
        return self._choice

    def choose(self, choice: Theme) -> None:
        """Follow the system, or stay light or dark."""
        self._choice = choice
        self._put_on()

    def _system_changed(self, _scheme: Qt.ColorScheme) -> None:
        if self._choice == "system":
            self._put_on()

    def _put_on(self) -> None:
        system_dark = QGuiApplication.styleHints().colorScheme() == Qt.ColorScheme.Dark
        dark = system_dark if self._choice == "system" else self._choice == "dark"
        self.look = DARK if dark else LIGHT
        QApplication.setPalette(palette_of(self.look))
        if self._dressed:
            self.dress()
        self.changed.emit(self.look)

    def dress(self) -> None:
        """Put the style sheet on: once, when the window is built, as it goes through every widget."""
        self._dressed = True
        app = QApplication.instance()
        sheet = style_sheet(self.look)
        if isinstance(app, QApplication) and app.styleSheet() != sheet:
            app.setStyleSheet(sheet)


def current_look() -> Look:
    """Return the look that is on, for code that paints: told by the palette, so every widget knows it."""
    return DARK if QGuiApplication.palette().color(QPalette.ColorRole.Window) == QColor(DARK.window) else LIGHT
