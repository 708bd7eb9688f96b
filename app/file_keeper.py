"""The project's file: new, open, save, recent ones, its lock, changes by others, and unsaved ones on leaving."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QFileSystemWatcher, QLockFile, QObject, QTimer, Signal
from PySide6.QtWidgets import QFileDialog, QMessageBox

from app.recovery import Recovery, drop
from app.store import Store, empty_project
from app.words import said, tr
from layout.errors import LayoutError

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from app.settings import Settings

SUFFIX = ".manymold"
GONE_MS = 700


class FileKeeper(QObject):
    """Opens and saves the store's project.

    Signals
    -------
    told(str)
        A sentence for the status line.
    """

    told = Signal(str)

    def __init__(self, store: Store, settings: Settings, window: QWidget) -> None:
        super().__init__(window)
        self._store, self._settings, self._window = store, settings, window
        self._lock: QLockFile | None = None
        self._watcher = QFileSystemWatcher(self)
        self._watcher.fileChanged.connect(self._changed_on_disk)
        self._written = ""
        self.recovery = Recovery(store, self)

    @property
    def name(self) -> str:
        """What the title calls the project."""
        path = self._store.path
        return path.name if path else self._store.project.name or tr("New project")

    # opening

    def new(self) -> None:
        """Start with an empty box, after asking about unsaved changes."""
        if self.may_leave():
            self._release()
            self._store.read_only = False
            self._store.open(empty_project(self._settings.units), None)

    def open(self) -> None:
        """Ask for a project and open it."""
        if not self.may_leave():
            return
        name, _ = QFileDialog.getOpenFileName(
            self._window, tr("Open a project"), str(self._settings.last_folder), tr("Projects (*.manymold)")
        )
        if name:
            self.open_path(Path(name), ask=False)

    def open_path(self, path: Path, *, ask: bool = True, quiet: bool = True) -> bool:
        """Open a project; return whether it was. With ``quiet`` errors are shown, else raised."""
        from layout import project_file

        if ask and not self.may_leave():
            return False
        try:
            project = project_file.load(path)
        except LayoutError as error:
            if not quiet:
                raise
            self._warn(said(error))
            return False
        self._release()
        self._store.read_only = not self._take(path)
        self._store.open(project, path.absolute())
        self._settings.used(path)
        return True

    def _take(self, path: Path) -> bool:
        """Lock the file; if another window has it, say whose and open it for looking only."""
        lock = QLockFile(f"{path.absolute()}.lock")
        lock.setStaleLockTime(0)
        if lock.tryLock(50):
            self._lock = lock
            self._watch(path)
            return True
        if lock.error() != QLockFile.LockError.LockFailedError:
            # a folder that can't be written takes no lock; saving will say so itself
            self._watch(path)
            return True
        info = lock.getLockInfo()
        owner = tr("program {pid} on {host}", pid=info[0], host=info[1]) if len(info) > 2 else tr("not known which")
        sentence = tr("{file} is open in another Manymold window ({owner}). It is shown here to look at; save it under"
                      " another name.", file=path.name, owner=owner)  # fmt: skip
        self._warn(sentence)
        return False

    def _release(self) -> None:
        if self._watcher.files():
            self._watcher.removePaths(self._watcher.files())
        if self._lock is not None:
            self._lock.unlock()
            self._lock = None

    # saving

    def save(self) -> bool:
        """Save to the project's file, asking for one if there is none; return whether it is saved."""
        path = self._store.path
        return self.save_as() if path is None or self._store.read_only else self._write(path)

    def save_as(self) -> bool:
        """Ask for a file and save to it; return whether it is saved."""
        start = self._store.path or self._settings.last_folder / f"{self._store.project.name or tr('mold')}{SUFFIX}"
        name, _ = QFileDialog.getSaveFileName(
            self._window, tr("Save the project"), str(start), tr("Projects (*.manymold)")
        )
        if not name:
            return False
        path = Path(name if name.endswith(SUFFIX) else name + SUFFIX)
        if not name.endswith(SUFFIX) and path.exists() and not self._ask_replace(path):
            return False
        return self._write(path.absolute())

    def _write(self, path: Path) -> bool:
        from layout import project_file

        project = self._store.project
        if not project.name:
            project = replace(project, name=path.stem)
        watched = self._watcher.files()
        if watched:
            self._watcher.removePaths(watched)
        try:
            project_file.save(project, path, keep_backup=True)
        except LayoutError as error:
            self._warn(said(error))
            if watched:
                self._watch(path)
            return False
        if self._lock is None or path != self._store.path:
            self._release()
            self._store.read_only = not self._take(path)
        else:
            self._watch(path)
        self._store.saved(path)
        self._settings.used(path)
        self.told.emit(tr("{name} is saved.", name=path.name))
        return True

    # leaving

    def may_leave(self) -> bool:
        """Ask about unsaved changes; return whether the project may be closed."""
        if not self._store.is_modified:
            return True
        answer = QMessageBox.question(
            self._window,
            tr("Unsaved changes"),
            tr("{name} has changes that are not saved. Save them?", name=self.name),
            QMessageBox.StandardButton.Save | QMessageBox.StandardButton.Discard | QMessageBox.StandardButton.Cancel,
            QMessageBox.StandardButton.Save,
        )
        if answer == QMessageBox.StandardButton.Save:
            return self.save()
        return answer == QMessageBox.StandardButton.Discard

    def close(self) -> None:
        """Let go of the file at the end."""
        self.recovery.forget()
        self.recovery.close()
        self._release()

    def offer_recovery(self, of: Path | None = None) -> None:
        """Offer the latest project that was left behind unsaved; with ``of`` only what was changed in that file."""
        found = [r for r in self.recovery.left_behind() if of is None or r.path == of.absolute()]
        if not found:
            return
        latest = found[0]
        name = latest.path.name if latest.path else latest.project.name or tr("a new project")
        answer = QMessageBox.question(
            self._window,
            tr("Unsaved changes were kept"),
            tr("The program ended before the changes of {name} were saved. Open them?", name=name),
            QMessageBox.StandardButton.Open | QMessageBox.StandardButton.Discard | QMessageBox.StandardButton.Cancel,
            QMessageBox.StandardButton.Open,
        )
        if answer == QMessageBox.StandardButton.Open:
            self._release()
            if latest.path is not None:
                self._store.read_only = not self._take(latest.path)
            self._store.open_unsaved(latest.project, latest.path)
            self.recovery.keep()
        if answer in (QMessageBox.StandardButton.Open, QMessageBox.StandardButton.Discard):
            drop(latest)

    # others

    def _watch(self, path: Path) -> None:
        self._written = _text_of(path)
        if path.exists():
            self._watcher.addPath(str(path.absolute()))

    def _changed_on_disk(self, name: str) -> None:
        path = Path(name)
        if not path.exists():
            # many programs write a file by putting another in its place
            QTimer.singleShot(GONE_MS, self, lambda: self._if_gone(path))
            return
        text = _text_of(path)
        if name not in self._watcher.files():
            self._watcher.addPath(name)
        if text == self._written or not text:
            return
        self._written = text
        buttons = QMessageBox.StandardButton
        sentence = tr("{name} was changed by another program. Read it again?", name=path.name)
        if self._store.is_modified:
            sentence += " " + tr("Your own changes, which are not saved, would be lost.")
        answer = QMessageBox.question(
            self._window, tr("The file was changed"), sentence, buttons.Yes | buttons.No,
            buttons.No if self._store.is_modified else buttons.Yes,
        )  # fmt: skip
        if answer == buttons.Yes:
            self.open_path(path, ask=False)
        else:
            # what is shown is not what the file holds any more
            self._store.differs()

    def _if_gone(self, path: Path) -> None:
        """Say that the project's file was taken away, unless whoever writes it has put it back."""
        if path != self._store.path:
            return
        if path.exists():
            self._changed_on_disk(str(path))
            return
        self._store.differs()
        self.told.emit(tr("{name} is gone from its folder; saving writes it again.", name=path.name))

    def _ask_replace(self, path: Path) -> bool:
        answer = QMessageBox.question(
            self._window, tr("Save the project"), tr("{name} exists. Write over it?", name=path.name)
        )
        return answer == QMessageBox.StandardButton.Yes

    def _warn(self, sentence: str) -> None:
        if not self._window.isVisible():
            # the last window that closes ends the program: before ours is shown, that would be this one
            QTimer.singleShot(0, self, lambda: self._warn_shown(sentence))
        else:
            self._warn_shown(sentence)

    def _warn_shown(self, sentence: str) -> None:
        QMessageBox.warning(self._window, tr("Manymold"), sentence)


def _text_of(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8", errors="replace")
    except OSError:
        return ""
