"""The Pour page: what to weigh, by when the cup must be empty, what to mind; what if, all at once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QColor, QFont, QShowEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QComboBox,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QSplitter,
    QTableWidgetItem,
    QTabWidget,
    QTextBrowser,
    QVBoxLayout,
    QWidget,
)

from app.aside import Aside, Cover, Stop, is_heavy
from app.dialogs.accept import AcceptDialog
from app.dialogs.catalogue import CatalogueDialog
from app.dialogs.export_place import ask_place, keep_paper, show_paper
from app.dialogs.limits import LimitsDialog
from app.dialogs.writer import Writer
from app.fields import AmountField
from app.jobs import Jobs
from app.pages.laying.findings import SIGNS
from app.pages.parts import filling, in_two_halves, scrolled, shown_table
from app.pages.pour_answer import PourAnswer, facts_html, named_readings, pour_answer, ranked, today
from app.pages.pour_form import PourForm
from app.pages.pour_plan import PlanView
from app.pages.pour_views import TimelineView
from app.printing.pour_sheet import sheet_maker
from app.settings import Settings
from app.store import Store
from app.theme import current_look
from app.user_factors import remember
from app.words import language, said, tr
from layout import edits
from layout.documents.page import PAPERS
from layout.documents.pour_sheet.content import Reading, SheetContent, grams
from layout.errors import LayoutError
from layout.materials import Kind
from layout.model import Finding, Project, Severity
from layout.numbering import by_number
from layout.pour.learned import learned_correction
from layout.pour.logbook import box_kind, logged_pour
from layout.units import parse_mass_g
from layout.wording import head, message

IDLE_MS = 350
"""After so long without a change the slow advice, the bulge of the sides, is worked out too."""

_FIGURES = 3
"""Columns of readings: A, with colour, all."""

_ROLE = Qt.ItemDataRole.UserRole


class PourPage(QWidget):
    """How the silicone and the resin are poured today."""

    def __init__(self, store: Store, jobs: Jobs, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._store, self._jobs = store, jobs
        self._shown: Project | None = None
        self.findings: tuple[Finding, ...] = ()
        self.content: SheetContent | None = None
        self.form = PourForm(store)
        heads = [tr("Cup"), tr("A, g"), tr("+ colour, g"), tr("A + B, g"), tr("When, what")]
        self.readings = shown_table(heads, tr("Scale readings"))
        self.readings.setWordWrap(True)
        self.facts = QTextBrowser()
        self.facts.setAccessibleName(tr("Figures of the pour"))
        self.silicone_clock, self.resin_clock = TimelineView(tr("Silicone")), TimelineView(tr("Casting"))
        self.plan = PlanView()
        self.warnings = QListWidget()
        self.reason = QLineEdit()
        self.take_on = QPushButton(tr("Take on"))
        self.said = QLabel()
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.setInterval(IDLE_MS)
        self._later.timeout.connect(self._ask_all_advice)
        self._aside, self._more, self._writer = Aside(self), Aside(self), Writer(self.said)
        self._build()
        store.changed.connect(self._changed)
        self.form.catalogue_asked.connect(self._open_catalogue)

    # building

    def _build(self) -> None:
        top = QSplitter(Qt.Orientation.Horizontal)
        top.addWidget(self.readings)
        top.addWidget(self.facts)
        top.setSizes([520, 380])
        clocks = QTabWidget()
        clocks.addTab(self.silicone_clock, tr("Silicone on the clock"))
        clocks.addTab(self.resin_clock, tr("Casting on the clock"))
        bottom = QSplitter(Qt.Orientation.Horizontal)
        bottom.addWidget(self.plan)
        bottom.addWidget(self._warning_side())
        bottom.setSizes([470, 430])
        down = QSplitter(Qt.Orientation.Vertical)
        for part in (top, clocks, bottom):
            down.addWidget(part)
        down.setSizes([190, 170, 240])
        right = QWidget()
        stack = QVBoxLayout(right)
        stack.setContentsMargins(0, 8, 8, 8)
        stack.addWidget(down, 1)
        stack.addLayout(self._button_row())
        Cover(right, self._aside)
        in_two_halves(self, scrolled(self.form), right, (330, 930))

    def _warning_side(self) -> QWidget:
        self.warnings.setWordWrap(True)
        self.warnings.setAccessibleName(tr("What to mind"))
        self.warnings.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.warnings.currentItemChanged.connect(lambda _now, _before: self._warning_chosen())
        self.reason.setAccessibleName(tr("Reason"))
        self.reason.setPlaceholderText(tr("Reason to take on what is refused"))
        self.reason.textChanged.connect(lambda _text: self._warning_chosen())
        self.take_on.clicked.connect(self._take_on)
        row = QHBoxLayout()
        limits = QPushButton(tr("Limits…"))
        limits.clicked.connect(self._open_limits)
        row.addWidget(self.reason, 1)
        row.addWidget(self.take_on)
        row.addWidget(limits)
        side = QWidget()
        column = QVBoxLayout(side)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.warnings, 1)
        column.addLayout(row)
        return side

    def _button_row(self) -> QHBoxLayout:
        self.paper = QComboBox()
        self.paper.addItem("A4", "a4")
        self.paper.addItem("Letter", "letter")
        self.paper.setAccessibleName(tr("Paper of the pour sheet"))
        show_paper(self.paper, Settings(), self._store.project.units)
        self.paper.activated.connect(lambda _index: keep_paper(self.paper, Settings()))
        self.export_sheet = QPushButton(tr("Export pour sheet…"))
        self.export_sheet.setProperty("main", True)
        self.export_sheet.clicked.connect(self._ask_export)
        self.said.setProperty("role", "quiet")
        self.used = AmountField(
            tr("Silicone used, A and B"),
            lambda text: parse_mass_g(text.replace(",", ".").replace(" ", ""), tr("Silicone used")),
            lambda g: f"{g:g} g",
        )
        self.used.setPlaceholderText(tr("grams used"))
        self.used.setFixedWidth(110)
        self.said.setWordWrap(True)
        self.log_pour = QPushButton(tr("Log this pour"))
        self.used.textChanged.connect(lambda text: self.log_pour.setEnabled(bool(text.strip())))
        self.log_pour.setToolTip(tr("Writes a line in the batch log and takes the silicone from the shelf"))
        self.log_pour.setEnabled(False)
        self.log_pour.clicked.connect(self._log)
        row = QHBoxLayout()
        row.addWidget(self.export_sheet)
        row.addWidget(self.paper)
        row.addSpacing(16)
        row.addWidget(self.used)
        row.addWidget(self.log_pour)
        row.addWidget(self.said, 1)
        return row

    # showing

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._changed(self._store.project)

    def _changed(self, project: Project) -> None:
        if not self.isVisible() or project is self._shown:
            return
        self._shown = project
        self.said.clear()  # it was about the project before
        show_paper(self.paper, Settings(), project.units)
        self.form.show_project(project)
        self._more.drop()
        self._aside.ask(self._question(project), self._show, at_once=not is_heavy(project))
        self._later.start()

    def _question(self, project: Project, *, bulge: bool = False) -> Callable[[Stop], PourAnswer | None]:
        """What is to be worked out, with all of the page that it needs."""
        kept = () if bulge else tuple(f for f in self.findings if f.kind == "bulge")
        day, name, draw = today(), self._name(), not self.plan.shows(project)
        return lambda stop: pour_answer(project, day, name, kept, stop, bulge=bulge, draw=draw)

    def _show(self, found: PourAnswer) -> None:
        self._show_findings(found.findings)
        self._show_numbers(self._store.project, found)

    def _ask_all_advice(self) -> None:
        if not self.isVisible():
            return
        if self._aside.is_busy:
            self._later.start()
            return
        # the bulge of a new size of side takes some tenths of a second, whatever the project
        self._more.ask(self._question(self._store.project, bulge=True), self._show_more, at_once=False)

    def _show_more(self, found: PourAnswer) -> None:
        self._show_findings(found.findings)
        self.content = found.content

    def _name(self) -> str:
        """What the project's file is called; empty before it is saved."""
        path = self._store.path
        return path.stem if path else ""

    def _show_numbers(self, project: Project, found: PourAnswer) -> None:
        content = self.content = found.content
        rows = named_readings(content)
        self.readings.setRowCount(len(rows))
        large = QFont(self.readings.font())
        large.setPointSizeF(large.pointSizeF() * 1.7)
        large.setBold(True)
        with filling(self.readings):
            for row, (reading, name) in enumerate(rows):
                self._show_reading(row, reading, name, large, project.pour.scale_step_g)
        self.readings.setColumnHidden(2, all(len(reading.readings) < _FIGURES for reading, _ in rows))
        # once the columns have their widths, which the last event before this one may have changed
        QTimer.singleShot(0, self.readings, self.readings.resizeRowsToContents)
        self.facts.setHtml(facts_html(content))
        self.silicone_clock.show_times(found.silicone_times, project.pour.start)
        self.resin_clock.show_times(found.resin_times, None)
        self.plan.show_project(project, content.batch_of, found.views)

    def _show_reading(self, row: int, reading: Reading, name: str, large: QFont, step_g: float | None) -> None:
        figures = [grams(value, step_g) for _, value in reading.readings]
        figures = figures if len(figures) == _FIGURES else [figures[0], "", figures[-1]]
        for column, words in enumerate((name, *figures, said(reading.note))):
            item = QTableWidgetItem(words)
            if 0 < column <= _FIGURES:
                item.setFont(large)
                item.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
            self.readings.setItem(row, column, item)

    def _show_findings(self, findings: tuple[Finding, ...]) -> None:
        ordered = ranked(findings)
        if ordered == self.findings and self.warnings.count() == len(ordered):
            return
        self.findings = ordered
        project = self._store.project
        reasons = {o.kind: o.reason for o in project.overrides}
        chosen = self.warnings.currentItem()
        kind = chosen.data(_ROLE).kind if chosen else ""
        self.warnings.blockSignals(True)
        self.warnings.clear()
        for finding, numbered in zip(ordered, by_number(ordered, project), strict=True):
            taken = tr(" Taken on: {reason}", reason=reasons[finding.kind]) if finding.kind in reasons else ""
            words = f"{tr(head(finding))}: {said(message(numbered, project.units))}{taken}"
            item = QListWidgetItem(f"{SIGNS[finding.severity]} {words}")
            item.setData(Qt.ItemDataRole.AccessibleTextRole, words)
            if finding.severity == Severity.REFUSE:
                item.setForeground(QColor(current_look().alarm))
            item.setData(_ROLE, finding)
            self.warnings.addItem(item)
            if finding.kind == kind:
                self.warnings.setCurrentItem(item)
        self.warnings.blockSignals(False)
        self._warning_chosen()

    def _warning_chosen(self) -> None:
        finding = self._chosen_finding()
        refused = finding is not None and finding.severity == Severity.REFUSE
        self.reason.setEnabled(refused)
        self.take_on.setEnabled(refused and bool(self.reason.text().strip()))
        self.plan.mark(finding.cavities if finding else ())

    def _chosen_finding(self) -> Finding | None:
        item = self.warnings.currentItem()
        return item.data(_ROLE) if item else None

    # changing

    def _take_on(self) -> None:
        finding = self._chosen_finding()
        if finding is None:
            return
        after = edits.accept(self._store.project, finding.kind, self.reason.text())
        self.findings = ()
        self._store.apply(tr("Take on a refusal"), after)
        self.reason.clear()

    def _log(self) -> None:
        if self.used.is_wrong or self.used.value is None:
            self.said.setText(tr("Type the grams of silicone that were used, A and B together."))
            return
        before = (self._store.project.silicone.left_a_g, self._store.project.silicone.left_b_g)
        try:
            after = logged_pour(self._store.project, today(), self.used.value)
        except LayoutError as error:
            self.said.setText(f"▲ {said(error)}")
            return
        self._store.apply(tr("Log a pour"), after)
        self.used.clear()
        self.used.set_value(None)
        learned = learned_correction(after)
        if learned is not None:
            try:
                remember(box_kind(after), learned)
            except LayoutError as error:
                self.said.setText(f"▲ {said(error)}")
                return
        left = after.silicone
        if (left.left_a_g, left.left_b_g) == before:
            self.said.setText(tr("Logged; see the log on the Order page."))
            return
        shelf = tr("{a} g of A and {b} g of B", a=f"{left.left_a_g:.0f}", b=f"{left.left_b_g:.0f}")
        self.said.setText(tr("Logged. On the shelf now: {shelf}.", shelf=shelf))

    def _open_limits(self) -> None:
        dialog = LimitsDialog(self._store.project, self)
        dialog.accepted.connect(
            lambda: self._store.apply(tr("Change limits"), replace(self._store.project, limits=dialog.changes))
        )
        dialog.open()

    def _open_catalogue(self, kind: Kind) -> None:
        project = self._store.project
        mix = project.silicone if kind == "silicone" else project.resin
        dialog = CatalogueDialog(kind, mix, self)

        def use() -> None:
            if dialog.mix is None:
                self._shown = None
                self._changed(self._store.project)
                return
            edit = edits.set_silicone if kind == "silicone" else edits.set_resin
            name = dialog.mix.name
            if not self._store.apply(tr("Use {name}", name=name), edit(self._store.project, dialog.mix)):
                self._shown = None
                self._changed(self._store.project)

        dialog.finished.connect(lambda _result: use())
        dialog.open()

    # the sheet

    def _ask_export(self) -> None:
        """Show all advice, and ask where the sheet goes once what is refused is taken on."""

        def go_on(found: PourAnswer) -> None:
            self._show_more(found)
            self._ask_refused()

        project = self._store.project
        self._more.ask(self._question(project, bulge=True), go_on, at_once=not is_heavy(project))

    def _ask_refused(self) -> None:
        project = self._store.project
        taken = {o.kind for o in project.overrides}
        refused = tuple(f for f in self.findings if f.severity == Severity.REFUSE and f.kind not in taken)
        if not refused:
            self._ask_place()
            return
        dialog = AcceptDialog(by_number(refused, project), project.units, self)

        def go_on() -> None:
            after = self._store.project
            for kind in dialog.kinds:
                after = edits.accept(after, kind, dialog.reason)
            self._store.apply(tr("Take on refusals"), after)
            self._ask_place()

        dialog.accepted.connect(go_on)
        dialog.open()

    def _ask_place(self) -> None:
        name = f"{self._store.project.name or 'mold'} pour sheet"
        kinds = tr("Page (*.pdf);;For the browser (*.html);;Table (*.csv)")
        ask_place(self, Settings(), "report", name, kinds, lambda path, _kind: self.export(path))

    def export(self, path: Path) -> None:
        """Write the sheet as its name says; the dialog has asked before a file is replaced."""
        project, paper, tongue = self._store.project, PAPERS[self.paper.currentData()], language()
        answer = self._question(project, bulge=True)

        def data() -> bytes:
            make, found = sheet_maker(path, path.name), answer(lambda: False)
            assert found is not None
            return make(project, found.content, paper, said, tongue)

        self._writer.write(path, data, large=is_heavy(project))
