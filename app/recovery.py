"""Autosave to the side: never over the user's file; offered at the next start, gone after a clean end."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QLockFile, QObject, QStandardPaths, QTimer

from layout.errors import LayoutError

if TYPE_CHECKING:
    from app.aside import Aside
    from app.store import Store
    from layout.model import Project

IDLE_MS = 2_000
STALE_MS = 30_000


@dataclass(frozen=True, slots=True)
class Recovered:
    """A project that a window left behind without saving."""

    project: Project
    path: Path | None
    kept_in: Path


def recovery_folder() -> Path:
    """Return where recovery files are kept, in the user's own data."""
    place = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.AppLocalDataLocation)
    return Path(place) / "recovery"


class Recovery(QObject):
    """Keeps the unsaved project of one window on the disk, a moment after each change."""

    def __init__(self, store: Store, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._store = store
        self._name = f"{os.getpid()}-{os.urandom(4).hex()}"
        self._lock: QLockFile | None = None
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(IDLE_MS)
        self._timer.timeout.connect(self._keep_aside)
        self._aside: Aside | None = None
        store.changed.connect(lambda _project: self._timer.start())
        store.file_changed.connect(self._file_changed)

    @property
    def file(self) -> Path:
        """The recovery file of this window."""
        return recovery_folder() / f"{self._name}.recovery"

    def _file_changed(self) -> None:
        if not self._store.is_modified:
            self._timer.stop()
            self.forget()

    def keep(self) -> None:
        """Write the project to the recovery file, if it has changes that are not saved."""
        if self._store.is_modified:
            self._keep(_as_text(self._store.project, self._store.path))

    def _keep_aside(self) -> None:
        """As `keep`, once the text is made; a large project is written down in another thread."""
        # only now: a start keeps nothing
        from app.aside import Aside, is_heavy

        if not self._store.is_modified:
            return
        if self._aside is None:
            self._aside = Aside(self)
        project, path = self._store.project, self._store.path
        self._aside.ask(lambda _stop: _as_text(project, path), self._keep, at_once=not is_heavy(project))

    def _keep(self, text: str) -> None:
        try:
            self.file.parent.mkdir(parents=True, exist_ok=True)
            if self._lock is None:
                self._lock = QLockFile(str(self.file.with_suffix(".lock")))
                self._lock.setStaleLockTime(0)
                self._lock.tryLock(0)
            beside = self.file.with_suffix(".part")
            beside.write_text(text, encoding="utf-8")
            beside.replace(self.file)
        except OSError:
            # a full disk must not stop the user from working: the next change tries again
            return

    def close(self) -> None:
        """End the thread, if there is one."""
        if self._aside is not None:
            self._aside.close()

    def forget(self) -> None:
        """Remove the recovery file: what it holds is saved, or not wanted."""
        if self._aside is not None:
            # what is being written down is saved, or not wanted, as well
            self._aside.drop()
        self.file.unlink(missing_ok=True)
        if self._lock is not None:
            self._lock.unlock()
            self._lock = None

    def left_behind(self) -> list[Recovered]:
        """Return what other windows left behind that are no longer running, the latest first."""
        import json

        from layout import project_file

        found = []
        files = sorted(recovery_folder().glob("*.recovery"), key=lambda f: f.stat().st_mtime, reverse=True)
        for file in files:
            lock = QLockFile(str(file.with_suffix(".lock")))
            lock.setStaleLockTime(0)
            if file == self.file or not lock.tryLock(0):
                continue
            lock.unlock()
            try:
                head, _, text = file.read_text(encoding="utf-8").partition("\n")
                path = str(json.loads(head).get("path", ""))
                found.append(Recovered(project_file.from_text(text, file.name), Path(path) if path else None, file))
            except (OSError, ValueError, AttributeError, LayoutError):
                continue
        return found


def _as_text(project: Project, path: Path | None) -> str:
    import json

    from layout import project_file

    return json.dumps({"path": str(path or "")}) + "\n" + project_file.to_text(project)


def drop(recovered: Recovered) -> None:
    """Remove what was offered and not wanted, or what now lives in a window."""
    recovered.kept_in.unlink(missing_ok=True)
