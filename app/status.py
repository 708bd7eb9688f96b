"""The line at the bottom: what was just said, the job that runs, and readings of the page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QTimer, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QProgressBar, QPushButton, QStatusBar, QWidget

from app.words import tr
from layout.units import minutes_text

if TYPE_CHECKING:
    from app.jobs import Jobs


class JobStrip(QWidget):
    """The job that runs: what it is, how long, what it has found, and a button to stop it.

    Signals
    -------
    stop_asked()
    """

    stop_asked = Signal()

    def __init__(self, jobs: Jobs, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._jobs = jobs
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        self._label = QLabel()
        self._bar = QProgressBar()
        self._bar.setTextVisible(False)
        self._bar.setMaximumWidth(120)
        self._bar.setAccessibleName(tr("Progress"))
        self._stop = QPushButton(tr("Stop and keep the best"))
        self._stop.setToolTip(tr("End the search; the best layout stays (Ctrl+.)"))
        self._stop.clicked.connect(self.stop_asked)
        for widget in (self._label, self._bar, self._stop):
            row.addWidget(widget)
        self._found = ""
        self._limit: float | None = None
        self._tick = QTimer(self)
        self._tick.setInterval(200)
        self._tick.timeout.connect(self._show)
        jobs.busy_changed.connect(self._busy)
        self.setVisible(False)

    def set_limit(self, seconds: float | None) -> None:
        """Say how long the job may take, so that the bar can tell how far it is."""
        self._limit = seconds

    def set_found(self, found: str) -> None:
        """Show what the job has found so far."""
        self._found = found
        self._show()

    def _busy(self, busy: bool) -> None:
        self._found = ""
        self.setVisible(busy)
        self._tick.start() if busy else self._tick.stop()
        if busy:
            self._show()
        else:
            self._limit = None

    def _show(self) -> None:
        seconds = self._jobs.seconds
        if self._limit:
            self._bar.setRange(0, 1000)
            self._bar.setValue(min(1000, round(1000 * seconds / self._limit)))
        else:
            self._bar.setRange(0, 0)
        time = minutes_text(seconds / 60)
        if self._found:
            self._label.setText(tr("{what}: {found}, {time}", what=self._jobs.title, found=self._found, time=time))
        else:
            self._label.setText(tr("{what}, {time}", what=self._jobs.title, time=time))


class StatusLine(QStatusBar):
    """The status bar of the window."""

    def __init__(self, jobs: Jobs, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setSizeGripEnabled(False)
        self._readings: dict[str, QLabel] = {}
        self.job = JobStrip(jobs, self)
        self.addPermanentWidget(self.job)

    def set_reading(self, name: str, text: str, tip: str = "") -> None:
        """Show a reading; an empty text hides it."""
        label = self._readings.get(name)
        if label is None:
            label = QLabel(self)
            label.setContentsMargins(8, 0, 8, 0)
            self._readings[name] = label
            self.addPermanentWidget(label)
        label.setText(text)
        label.setToolTip(tip)
        label.setVisible(bool(text))
