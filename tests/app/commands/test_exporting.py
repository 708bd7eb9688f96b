"""No export takes the place of a project, whatever was typed."""

from pathlib import Path

import pytest

from app.commands.run import run

EXPORTS = [
    ["panels", "-o"],
    ["template", "-o"],
    ["report", "-o"],
    ["plan", "--parts", "40", "--cavities", "1", "--calendar"],
    ["plan", "--parts", "40", "--cavities", "1", "--purchases"],
]


@pytest.mark.parametrize("words", EXPORTS, ids=lambda words: " ".join(words))
@pytest.mark.parametrize("other", [False, True], ids=["its own file", "another project"])
def test_that_no_export_is_written_over_a_project(
    words: list[str], other: bool, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    paths = [tmp_path / "bolts.manymold", tmp_path / "other.manymold"]
    for path in paths:
        assert run(["new", str(path), "--box", "120x90", "--master", "disc:20x5"]) == 0
        assert run(["place", str(path), "--at", "disc:40,40"]) == 0
    before = [path.read_bytes() for path in paths]
    capsys.readouterr()
    command, *rest = words
    assert run([command, str(paths[0]), *rest, str(paths[int(other)]), "--force"]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.count("\n") == 1
    assert [path.read_bytes() for path in paths] == before
