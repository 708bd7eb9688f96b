"""Exports from the window: the same bytes as by command, a preview first, broken rules listed and asked about."""

from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.commands.run import run
from app.dialogs.accept import AcceptDialog
from app.dialogs.export import KINDS, ExportDialog, data_for, export
from app.example import example_project
from layout import project_file
from layout.documents.page import A4
from tests.app.canvas_help import discs, window_with


@pytest.mark.parametrize("what", list(KINDS))
def test_that_each_export_is_previewed_and_written(qtbot: QtBot, tmp_path: Path, what: str) -> None:
    window, _page = window_with(qtbot, example_project())
    dialog = ExportDialog(what, window.store, window.settings, window)
    qtbot.addWidget(dialog)
    dialog.show()
    target = tmp_path / f"out{KINDS[what][1]}"
    dialog.write(target)
    assert target.stat().st_size > 1000
    assert str(target) in dialog.said.text()


def test_that_the_template_is_the_very_drawing_the_command_writes(tmp_path: Path) -> None:
    project = example_project()
    path, out = tmp_path / "p.manymold", tmp_path / "t.dxf"
    project_file.save(project, path)
    assert run(["template", str(path), "-o", str(out)]) == 0
    assert data_for("template", ".dxf", project, A4) == out.read_bytes()


def test_that_the_panels_are_the_very_drawing_the_command_writes(tmp_path: Path) -> None:
    project = example_project()
    path, out = tmp_path / "p.manymold", tmp_path / "t.svg"
    project_file.save(project, path)
    assert run(["panels", str(path), "-o", str(out)]) == 0
    assert data_for("panels", ".svg", project, A4) == out.read_bytes()


def test_that_broken_rules_are_listed_and_a_reason_is_asked_for(qtbot: QtBot) -> None:
    window, _page = window_with(qtbot, discs((40, 40), (62, 40)))
    export("template", window.store, window.settings, window)
    dialog = next(w for w in QApplication.topLevelWidgets() if isinstance(w, AcceptDialog) and w.isVisible())
    assert dialog.list.count() == 1
    assert not dialog.go_on.isEnabled()
    dialog.reason_field.setText("trial piece")
    dialog.go_on.click()
    assert [(o.kind, o.reason) for o in window.store.project.overrides] == [("thin_wall", "trial piece")]
    shown = [w for w in QApplication.topLevelWidgets() if isinstance(w, ExportDialog) and w.isVisible()]
    assert len(shown) == 1
    shown[0].close()


def test_that_a_file_that_can_not_be_written_is_told_in_place(qtbot: QtBot, tmp_path: Path) -> None:
    window, _page = window_with(qtbot, example_project())
    dialog = ExportDialog("picture", window.store, window.settings, window)
    qtbot.addWidget(dialog)
    dialog.write(tmp_path / "no" / "picture.svg")
    assert dialog.said.text().startswith("▲")


@pytest.mark.parametrize(
    ("what", "printable"), [("template", True), ("report", True), ("panels", False), ("picture", False)]
)
def test_that_what_leaves_as_pages_is_printed_from_its_preview(
    qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, what: str, printable: bool
) -> None:
    from app.printing import printer

    asked = []
    monkeypatch.setattr(
        printer, "ask_to_print", lambda pages_for, title, _parent, paper: asked.append((title, pages_for(paper)))
    )
    window, _page = window_with(qtbot, example_project())
    dialog = ExportDialog(what, window.store, window.settings, window)
    qtbot.addWidget(dialog)
    dialog.show()
    assert dialog.print_button.isVisible() is printable
    if printable:
        dialog.print_button.click()
        ((title, pages),) = asked
        assert title == dialog.windowTitle()
        assert pages == dialog.preview.pages
