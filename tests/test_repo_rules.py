"""The gates: style, types, import contracts and the shape of the repository."""

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
TOP = {"README.md", "DEVELOPERS.md", "pyproject.toml", "app", "layout", "tests", "resources"}


def _run(*command: str) -> None:
    tool = shutil.which(command[0], path=str(Path(sys.executable).parent)) or command[0]
    result = subprocess.run([tool, *command[1:]], cwd=ROOT, capture_output=True, text=True, check=False)
    assert result.returncode == 0, result.stdout + result.stderr


def test_that_ruff_finds_nothing_to_mend() -> None:
    _run("ruff", "check", ".")


def test_that_every_file_is_formatted() -> None:
    _run("ruff", "format", "--check", ".")


@pytest.mark.timeout(600)
def test_that_both_packages_type_check_strictly() -> None:
    _run("mypy")


def test_that_no_room_imports_from_one_above_it() -> None:
    _run("lint-imports")


def test_that_only_the_agreed_names_stand_at_the_top_of_the_repository() -> None:
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True).stdout.split(
        "\n"
    )
    top = {name.split("/")[0] for name in listed if name}
    assert {name for name in top if not name.startswith(".")} == TOP


def test_that_every_module_stands_on_the_map() -> None:
    named = set(re.findall(r"[a-z_]+", (ROOT / "DEVELOPERS.md").read_text()))
    modules = {path.stem for package in ("layout", "app") for path in (ROOT / package).rglob("*.py")}
    assert not modules - named
