import contextlib
import io
import json
from pathlib import Path

import pytest

from app.commands.demo import STEPS
from app.commands.run import run


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, list[Path]]:
    """The folder of one demo, and what it says it wrote."""
    folder, said = tmp_path_factory.mktemp("demo") / "order", io.StringIO()
    with pytest.MonkeyPatch.context() as patch, contextlib.redirect_stdout(said):
        patch.setenv("XDG_DATA_HOME", str(tmp_path_factory.mktemp("data")))
        assert run(["demo", str(folder), "--json"]) == 0
    return folder, [Path(name) for name in json.loads(said.getvalue())["files"]]


@pytest.mark.timeout(300)
def test_that_the_demo_writes_every_output_and_a_second_run_harms_none(
    demo: tuple[Path, list[Path]], capsys: pytest.CaptureFixture[str]
) -> None:
    folder, written = demo
    assert {path.suffix for path in written} >= {".manymold", ".dxf", ".svg", ".png", ".pdf", ".html", ".csv"}
    assert all(path.stat().st_size > 200 for path in written)

    before = {path: path.read_bytes() for path in written}
    assert run(["demo", str(folder)]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.count("\n") == 1
    assert "--force" in told.err
    assert {path: path.read_bytes() for path in written} == before


def test_that_the_demo_s_layouts_break_no_rule(
    demo: tuple[Path, list[Path]], capsys: pytest.CaptureFixture[str]
) -> None:
    folder, _ = demo
    for name, least in (("bolt-heads", 60), ("rosettes", 20)):
        capsys.readouterr()
        assert run(["check", str(folder / f"{name}.manymold"), "--json"]) == 0
        assert not [f for f in json.loads(capsys.readouterr().out)["findings"] if f["severity"] == "refuse"]
        assert run(["show", str(folder / f"{name}.manymold"), "--json"]) == 0
        assert len(json.loads(capsys.readouterr().out)["cavities"]) >= least


def test_that_a_file_in_place_of_the_folder_is_refused_in_one_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "order"
    target.write_text("mine")
    assert run(["demo", str(target)]) == 2
    assert capsys.readouterr().err.count("\n") == 1
    assert target.read_text() == "mine"


def test_that_a_missing_system_library_is_named_with_the_line_that_installs_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def fail(*_: object) -> None:
        raise ImportError("libglib-2.0.so.0: cannot open shared object file: No such file or directory")

    monkeypatch.setattr("app.commands.demo._draw", fail)
    # the drawing comes after all that is typed; one line of that is enough
    monkeypatch.setattr("app.commands.demo.STEPS", STEPS[:1])
    assert run(["demo", str(tmp_path / "order")]) == 2
    said = capsys.readouterr().err.splitlines()[-1]
    assert "libglib-2.0.so.0" in said
    assert "apt install" in said
