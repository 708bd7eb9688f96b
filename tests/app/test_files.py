"""New, open, save, recent files, unsaved changes, recovery, the lock: no work is lost and no file harmed."""

import json
from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QFileDialog, QMessageBox
from pytestqt.qtbot import QtBot

from app.main_window import MainWindow
from app.recovery import recovery_folder
from layout import edits, project_file
from tests.app.canvas_help import discs, window_with

Answer = QMessageBox.StandardButton


def answers(monkeypatch: pytest.MonkeyPatch, answer: Answer) -> list[str]:
    asked: list[str] = []

    def question(_parent: object, _title: str, text: str, *_rest: object) -> Answer:
        asked.append(text)
        return answer

    monkeypatch.setattr(QMessageBox, "question", question)
    return asked


def nudge(window: MainWindow) -> None:
    store = window.store
    store.apply("Move", edits.move_cavities(store.project, [store.project.cavities[0].id], 1.0, 0.0))


def test_that_save_as_open_and_title_go_together(qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    window, _page = window_with(qtbot, discs((40, 40)))
    nudge(window)
    assert window.isWindowModified()
    target = tmp_path / "coins"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_a: (str(target), ""))
    window.actions_table["save"].trigger()
    saved = tmp_path / "coins.manymold"
    assert project_file.load(saved).cavities == window.store.project.cavities
    assert not window.isWindowModified()
    assert window.windowTitle().startswith("coins.manymold")
    nudge(window)
    window.actions_table["save"].trigger()
    assert project_file.load(saved).cavities[0].x_mm == 42
    assert Path(f"{saved}.bak").exists()
    assert window.settings.recent_files == [saved]
    window.actions_table["undo"].trigger()
    assert window.isWindowModified()


def test_that_a_failed_save_tells_why_and_keeps_the_changes(
    qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    window, _page = window_with(qtbot, discs((40, 40)))
    nudge(window)
    told: list[str] = []
    monkeypatch.setattr(QMessageBox, "warning", lambda *a: told.append(a[2]))
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_a: (str(tmp_path / "none" / "x.manymold"), ""))
    window.actions_table["save"].trigger()
    assert len(told) == 1
    assert "no folder" in told[0]
    assert window.isWindowModified()


@pytest.mark.parametrize(("answer", "closed"), [(Answer.Cancel, False), (Answer.Discard, True)])
def test_that_closing_asks_about_unsaved_changes_by_name(
    qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, answer: Answer, closed: bool
) -> None:
    window, _page = window_with(qtbot, discs((40, 40)))
    nudge(window)
    asked = answers(monkeypatch, answer)
    assert window.close() is closed
    assert len(asked) == 1
    assert "test" in asked[0]


def test_that_unsaved_work_of_a_window_that_died_is_offered(qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
    window, _page = window_with(qtbot, discs((40, 40)))
    nudge(window)
    window.files.recovery.keep()
    kept = window.files.recovery.file
    assert kept.parent == recovery_folder()
    # the window dies: its lock goes, its file stays
    window.files.recovery._lock.unlock()  # type: ignore[union-attr]
    other = MainWindow()
    qtbot.addWidget(other, before_close_func=lambda w: w.store.undo_stack.setClean())
    asked = answers(monkeypatch, Answer.Open)
    other.files.offer_recovery()
    assert len(asked) == 1
    assert other.store.project.cavities[0].x_mm == 41
    assert other.isWindowModified()
    assert not kept.exists()
    other.store.undo_stack.setClean()


def test_that_a_clean_end_leaves_nothing_to_recover(qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
    window, _page = window_with(qtbot, discs((40, 40)))
    nudge(window)
    window.files.recovery.keep()
    answers(monkeypatch, Answer.Discard)
    window.close()
    assert list(recovery_folder().glob("*.recovery")) == []


def test_that_a_file_open_in_another_window_is_only_shown(
    qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "shared.manymold"
    project_file.save(discs((40, 40)), path)
    first, _ = window_with(qtbot, discs((50, 50)))
    second, _ = window_with(qtbot, discs((60, 60)))
    told: list[str] = []
    monkeypatch.setattr(QMessageBox, "warning", lambda *a: told.append(a[2]))
    assert first.files.open_path(path)
    assert second.files.open_path(path)
    assert not first.store.read_only
    assert second.store.read_only
    assert "shared.manymold" in told[0]
    first.close()
    assert not Path(f"{path}.lock").exists()


def test_that_missing_recent_files_are_shown_and_taken_off_when_chosen(qtbot: QtBot, tmp_path: Path) -> None:
    window, _page = window_with(qtbot, discs((40, 40)))
    gone = tmp_path / "gone.manymold"
    window.settings.used(gone)
    texts = window.acts.fill_recent()
    assert "missing" in texts[0]
    window.acts._menu.actions()[0].trigger()
    assert window.settings.recent_files == []


def test_that_a_damaged_project_is_refused_in_a_sentence_and_nothing_changes(
    qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    window, _page = window_with(qtbot, discs((40, 40)))
    bad = tmp_path / "bad.manymold"
    bad.write_text(json.dumps({"format": "something else"}))
    told: list[str] = []
    monkeypatch.setattr(QMessageBox, "warning", lambda *a: told.append(a[2]))
    before = window.store.project
    assert not window.files.open_path(bad)
    assert "bad.manymold" in told[0]
    assert window.store.project is before


def test_that_a_project_dropped_on_the_window_opens(qtbot: QtBot, tmp_path: Path) -> None:
    path = tmp_path / "dropped.manymold"
    project_file.save(discs((33, 44)), path)
    window, _page = window_with(qtbot, discs((40, 40)))
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(path))])
    event = QDropEvent(
        QPointF(10, 10), Qt.DropAction.CopyAction, data, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    )
    window.dropEvent(event)
    qtbot.waitUntil(lambda: window.store.project.cavities[0].x_mm == 33)
    window.close()


def test_that_a_change_on_disk_is_noticed_and_read_again(
    qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "watched.manymold"
    project_file.save(discs((40, 40)), path)
    window, _page = window_with(qtbot, discs((50, 50)))
    window.files.open_path(path)
    asked = answers(monkeypatch, Answer.Yes)
    project_file.save(discs((66, 60)), path)
    qtbot.waitUntil(lambda: bool(asked), timeout=20_000)
    assert window.store.project.cavities[0].x_mm == 66
    window.close()


def test_that_a_file_changed_on_disk_and_not_read_again_counts_as_unsaved(
    qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "watched.manymold"
    project_file.save(discs((40, 40)), path)
    window, _page = window_with(qtbot, discs((50, 50)))
    window.files.open_path(path)
    nudge(window)
    offered: list[tuple[str, object]] = []

    def question(_parent: object, _title: str, text: str, _buttons: object, default: object) -> Answer:
        offered.append((text, default))
        return Answer.No

    monkeypatch.setattr(QMessageBox, "question", question)
    window.files.save()
    project_file.save(discs((66, 60)), path)
    qtbot.waitUntil(lambda: len(offered) == 1, timeout=20_000)
    assert window.store.project.cavities[0].x_mm == 41
    qtbot.waitUntil(window.isWindowModified)
    # with changes of one's own the default is to keep them, and the loss is named
    project_file.save(discs((77, 60)), path)
    qtbot.waitUntil(lambda: len(offered) == 2, timeout=20_000)
    assert offered[0][1] == Answer.Yes
    assert offered[1][1] == Answer.No
    assert "would be lost" in offered[1][0]


def test_that_a_project_whose_file_is_taken_away_counts_as_unsaved_and_says_so(qtbot: QtBot, tmp_path: Path) -> None:
    path = tmp_path / "watched.manymold"
    project_file.save(discs((40, 40)), path)
    window, _page = window_with(qtbot, discs((50, 50)))
    window.files.open_path(path)
    path.unlink()
    qtbot.waitUntil(window.isWindowModified, timeout=20_000)
    assert "is gone from its folder" in window.status.currentMessage()
    window.actions_table["save"].trigger()
    assert path.exists()
    assert window.status.currentMessage() == "watched.manymold is saved."


def test_that_a_warning_before_the_window_is_shown_waits_for_it(
    qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # by argument a file is opened first; the only window open then would be the warning, and closing it end the program
    path = tmp_path / "shared.manymold"
    project_file.save(discs((40, 40)), path)
    first, _ = window_with(qtbot, discs((50, 50)))
    first.files.open_path(path)
    told: list[bool] = []
    second = MainWindow()
    qtbot.addWidget(second)
    monkeypatch.setattr(QMessageBox, "warning", lambda *_a: told.append(second.isVisible()))
    assert second.files.open_path(path)
    assert told == []
    second.show()
    qtbot.waitUntil(lambda: told == [True])


def test_that_a_file_named_at_the_start_is_offered_its_own_unsaved_changes_only(
    qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "mine.manymold"
    project_file.save(discs((40, 40)), path)
    window, _page = window_with(qtbot, discs((50, 50)))
    window.files.open_path(path)
    nudge(window)
    window.files.recovery.keep()
    window.files.recovery._lock.unlock()  # type: ignore[union-attr]
    window.files._release()
    other = MainWindow()
    qtbot.addWidget(other, before_close_func=lambda w: w.store.undo_stack.setClean())
    asked = answers(monkeypatch, Answer.Open)
    other.files.offer_recovery(tmp_path / "another.manymold")
    assert asked == []
    other.files.open_path(path)
    other.files.offer_recovery(path)
    assert len(asked) == 1
    assert other.store.project.cavities[0].x_mm == 41
    assert other.isWindowModified()


def test_that_a_project_over_the_mold_is_left_to_the_window_and_a_part_is_taken(qtbot: QtBot, tmp_path: Path) -> None:
    window, page = window_with(qtbot, discs((40, 40)))
    taken = []
    for name in ("coins.manymold", "coin.dxf"):
        data = QMimeData()
        data.setUrls([QUrl.fromLocalFile(str(tmp_path / name))])
        event = QDragEnterEvent(
            QPoint(50, 50), Qt.DropAction.CopyAction, data, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
        )
        page.view.dragEnterEvent(event)
        over_window = QDragEnterEvent(
            QPoint(50, 50), Qt.DropAction.CopyAction, data, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
        )
        window.dragEnterEvent(over_window)
        taken.append((event.isAccepted(), over_window.isAccepted()))
    assert taken == [(False, True), (True, True)]


def test_that_an_example_only_looked_at_is_left_without_a_question(
    qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    window = MainWindow()
    qtbot.addWidget(window, before_close_func=lambda w: w.store.undo_stack.setClean())
    asked = answers(monkeypatch, Answer.Cancel)
    window.actions_table["demo"].trigger()
    assert len(window.store.project.cavities) == 48
    window.actions_table["new"].trigger()
    assert window.store.project.cavities == ()
    window.actions_table["demo"].trigger()
    nudge(window)
    window.actions_table["new"].trigger()
    assert len(asked) == 1
    assert len(window.store.project.cavities) == 48
