"""The window: builds the parts and connects them; no logic of its own."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QTimer
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QMainWindow, QMessageBox, QStackedWidget, QVBoxLayout, QWidget

from app.actions import Actions, State
from app.aside import Aside
from app.fields import AmountField
from app.file_keeper import SUFFIX, FileKeeper
from app.jobs import Jobs, error_sentence
from app.late import fetch
from app.menus import build_menus
from app.page_strip import PageStrip
from app.pages import PAGES
from app.services import Bindable, Services
from app.settings import Settings, Theme
from app.status import StatusLine
from app.store import Store, empty_project
from app.theme import Themes
from app.window_actions import WindowActions
from app.words import tr

if TYPE_CHECKING:
    from PySide6.QtGui import QCloseEvent, QDragEnterEvent, QDropEvent, QPaintEvent

    from layout.model import Project


FETCH_AFTER_MS = 50


class MainWindow(QMainWindow):
    """One project on the bench."""

    def __init__(self, settings: Settings | None = None) -> None:
        super().__init__()
        self.settings = settings or Settings()
        self.themes = Themes(self.settings.theme, self)
        self.store = Store(empty_project(self.settings.units), self)
        self.jobs = Jobs(self)
        self.files = FileKeeper(self.store, self.settings, self)
        self.actions_table = Actions(self)
        self.menus = build_menus(self, self.actions_table)
        self.status = StatusLine(self.jobs, self)
        self.setStatusBar(self.status)
        self.services = Services(
            self.actions_table, self.settings, self.themes, self.status, self.tell, self.refresh_enabled
        )
        self._stack = QStackedWidget()
        self._made: dict[str, QWidget] = {}
        self._painted = False
        self.strip = PageStrip(PAGES)
        self._build()
        self.acts = WindowActions(self)
        self._connect()
        self._restore()
        self._project_changed(self.store.project)
        self._show_title()
        self.themes.dress()

    def _build(self) -> None:
        body = QWidget()
        column = QVBoxLayout(body)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.strip)
        column.addWidget(self._stack, 1)
        self.setCentralWidget(body)
        self.resize(1280, 720)
        self.setMinimumSize(960, 600)
        self.setAcceptDrops(True)

    def _connect(self) -> None:
        self.strip.chosen.connect(self.open_page)
        self.store.changed.connect(self._project_changed)
        self.store.file_changed.connect(self._show_title)
        self.store.opened.connect(self._forget_wrong)
        self.files.told.connect(self.tell)
        self.jobs.failed.connect(self._job_failed)
        self.jobs.busy_changed.connect(lambda _busy: self.refresh_enabled())
        self.status.job.stop_asked.connect(self.jobs.stop)
        for key, step in (("Ctrl+PgDown", 1), ("Ctrl+PgUp", -1)):
            shortcut = QShortcut(QKeySequence(key), self)
            shortcut.activated.connect(lambda step=step: self._step_page(step))

    def _restore(self) -> None:
        self.restoreGeometry(self.settings.bytes_of("geometry"))
        ids = [page.id for page in PAGES]
        # the mold is always made: its actions are in the menus
        self.page_widget(ids[0])
        self.open_page(ids[0])
        first = getattr(self.page_widget(self.page), "first_focus", None)
        if isinstance(first, QWidget):
            first.setFocus()

    def fit_screen(self) -> None:
        """Be no larger than the screen: one that shows everything larger has room for less."""
        room = self.screen().availableSize()
        self.setMinimumSize(self.minimumSize().boundedTo(room))
        self.resize(self.size().boundedTo(room))

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
            if isinstance(widget, Bindable):
                widget.bind(self.services)
        return self._made[page_id]

    def open_page(self, page_id: str) -> None:
        """Show a page."""
        self._stack.setCurrentWidget(self.page_widget(page_id))
        self.strip.show_chosen(page_id)
        self.refresh_enabled()

    def _step_page(self, step: int) -> None:
        ids = [page.id for page in PAGES]
        self.open_page(ids[(ids.index(self.page) + step) % len(ids)])

    def tell(self, sentence: str) -> None:
        """Say something in the status line."""
        self.status.showMessage(sentence, 12_000)

    def choose_look(self, theme: Theme) -> None:
        """Follow the system's look or stay light or dark."""
        self.settings.theme = theme
        self.themes.choose(theme)
        self.acts.show_choices()

    def refresh_enabled(self) -> None:
        """Enable the actions that are possible now."""
        project = self.store.project
        state = State(
            cavities=len(project.cavities),
            masters=len(project.masters),
            busy=self.jobs.is_busy,
            on_canvas=self.page == PAGES[0].id,
        )
        for widget in self._made.values():
            if isinstance(widget, Bindable):
                state = widget.state(state)
        self.actions_table.update_enabled(state)
        stack = self.store.undo_stack
        self.actions_table["undo"].setEnabled(stack.canUndo() and not state.busy)
        self.actions_table["redo"].setEnabled(stack.canRedo() and not state.busy)

    def _project_changed(self, project: Project) -> None:
        for page in PAGES:
            # without masters there is nothing to box or to pour, and no reason to load what would work it out
            if page.answer and (project.masters or page is PAGES[0]):
                self.strip.set_answer(page.id, page.answer(project))
            elif page.answer:
                self.strip.set_answer(page.id, tr("once a master is on the shelf"))
        self.acts.show_choices()
        self.refresh_enabled()

    def _forget_wrong(self) -> None:
        """What was refused in one project is not to be mended in another."""
        for field in self.findChildren(AmountField):
            field.forget()

    def _show_title(self) -> None:
        self.setWindowModified(self.store.is_modified)
        note = tr(" (only to look at)") if self.store.read_only else ""
        self.setWindowTitle(f"{self.files.name}[*]{note} - Manymold")

    def _job_failed(self, error: BaseException) -> None:
        self.tell(error_sentence(error))

    def show_crash(self, error: BaseException, details: str) -> None:
        """Show an error nothing caught, with its details to copy; the project is as it was."""
        box = QMessageBox(QMessageBox.Icon.Warning, tr("Manymold"), error_sentence(error), parent=self)
        box.setInformativeText(tr("The project is unharmed. Save it, and start the program again if this comes back."))
        box.setDetailedText(details)
        box.open()

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        if not self._painted:
            self._painted = True
            # a moment after this event, which paints all there is in the window: first of all it is to be seen
            QTimer.singleShot(FETCH_AFTER_MS, self._fetch_libraries)

    def _fetch_libraries(self) -> None:
        fetch(("layout.hold", "layout.advice", *(f"app.pages.{page.id}" for page in PAGES)))

    # dropping and closing

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if event.mimeData().hasUrls():
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        for url in event.mimeData().urls():
            if url.isLocalFile() and url.toLocalFile().endswith(SUFFIX):
                event.acceptProposedAction()
                path = Path(url.toLocalFile())
                # once the drop is over: what is asked on the way would keep the program it came from waiting
                QTimer.singleShot(0, self, partial(self.files.open_path, path))
                return
        page = self.page_widget(PAGES[0].id)
        drop = getattr(getattr(page, "acts", None), "drop_files", None)
        if drop is not None:
            event.acceptProposedAction()
            drop(event.mimeData().urls())

    def closeEvent(self, event: QCloseEvent) -> None:
        if not self.files.may_leave():
            event.ignore()
            return
        self.settings.set_bytes("geometry", self.saveGeometry())
        self.settings.sync()
        self.files.close()
        # all are asked to stop before one is waited for: the window goes as soon as the slowest has heard it
        for jobs in self.findChildren(Jobs):
            jobs.cancel()
        self.jobs.close()
        for aside in self.findChildren(Aside):
            aside.close()
        for widget in self._made.values():
            shutdown = getattr(widget, "shutdown", None)
            if shutdown is not None:
                shutdown()
        # the stack says goodbye to its signals as it is destroyed, after what listens to them
        self.store.undo_stack.blockSignals(True)
        super().closeEvent(event)
