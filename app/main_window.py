"""The window: builds the parts and connects them; no logic of its own."""

from __future__ import annotations

from PySide6.QtGui import QCloseEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import QMainWindow, QStackedWidget, QVBoxLayout, QWidget

from app.actions import Actions, State
from app.jobs import Jobs, error_sentence
from app.menus import build_menus
from app.page_strip import PageStrip
from app.pages import PAGES
from app.settings import Settings, Theme
from app.status import StatusLine
from app.store import Store, empty_project
from app.theme import Themes
from layout.model import Project


class MainWindow(QMainWindow):
    """One project on the bench."""

    def __init__(self, settings: Settings | None = None) -> None:
        super().__init__()
        self.settings = settings or Settings()
        self.themes = Themes(self.settings.theme, self)
        self.store = Store(empty_project(self.settings.units), self)
        self.jobs = Jobs(self)
        self.actions_table = Actions(self)
        self.menus = build_menus(self, self.actions_table)
        self.status = StatusLine(self.jobs, self)
        self.setStatusBar(self.status)
        self._stack = QStackedWidget()
        self._made: dict[str, QWidget] = {}
        self.strip = PageStrip(PAGES)
        body = QWidget()
        column = QVBoxLayout(body)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.strip)
        column.addWidget(self._stack, 1)
        self.setCentralWidget(body)
        self.resize(1280, 720)
        self.setMinimumSize(900, 560)
        self._connect()
        self._restore()
        self._project_changed(self.store.project)

    def _connect(self) -> None:
        self.strip.chosen.connect(self.open_page)
        self.store.changed.connect(self._project_changed)
        self.jobs.failed.connect(self._job_failed)
        self.status.job.stop_asked.connect(self.jobs.stop)
        for key, step in (("Ctrl+PgDown", 1), ("Ctrl+PgUp", -1)):
            shortcut = QShortcut(QKeySequence(key), self)
            shortcut.activated.connect(lambda step=step: self._step_page(step))

    def _restore(self) -> None:
        self.restoreGeometry(self.settings.bytes_of("geometry"))
        ids = [page.id for page in PAGES]
        if ids:
            self.open_page(self.settings.page if self.settings.page in ids else ids[0])

    @property
    def page(self) -> str:
        """The id of the open page."""
        return next((i for i, w in self._made.items() if w is self._stack.currentWidget()), "")

    def page_widget(self, page_id: str) -> QWidget:
        """Return a page, made when it is first asked for."""
        if page_id not in self._made:
            page = next(page for page in PAGES if page.id == page_id)
            widget = page.factory(self.store, self.jobs)
            self._made[page_id] = widget
            self._stack.addWidget(widget)
        return self._made[page_id]

    def open_page(self, page_id: str) -> None:
        """Show a page."""
        self._stack.setCurrentWidget(self.page_widget(page_id))
        self.strip.show_chosen(page_id)
        self.settings.page = page_id

    def _step_page(self, step: int) -> None:
        ids = [page.id for page in PAGES]
        self.open_page(ids[(ids.index(self.page) + step) % len(ids)])

    def tell(self, sentence: str) -> None:
        """Say something in the status line."""
        self.status.showMessage(sentence, 10_000)

    def choose_look(self, theme: Theme) -> None:
        """Follow the system's look or stay light or dark."""
        self.settings.theme = theme
        self.themes.choose(theme)

    def _project_changed(self, project: Project) -> None:
        for page in PAGES:
            if page.answer:
                self.strip.set_answer(page.id, page.answer(project))
        self.actions_table.update_enabled(
            State(cavities=len(project.cavities), masters=len(project.masters), busy=self.jobs.is_busy)
        )

    def _job_failed(self, error: BaseException) -> None:
        self.tell(error_sentence(error))

    def closeEvent(self, event: QCloseEvent) -> None:
        self.settings.set_bytes("geometry", self.saveGeometry())
        self.settings.sync()
        self.jobs.close()
        super().closeEvent(event)
