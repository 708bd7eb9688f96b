"""The project file: a round trip for every project, errors that name the field, and an old file no failure can harm."""

import json
import os
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout import edits, project_file
from layout.errors import BadFileError, CannotWriteError, NewerVersionError
from layout.masters import read_master
from layout.model import Box, OutlineBox, Project, RectBox, RoundBox
from layout.project_file import from_text, to_text
from tests.strategies import projects


@pytest.fixture
def project() -> Project:
    bolt = read_master("hex:19.05x6.35+dome:16x3")
    disc = read_master("disc:20x5", name="lid", count=3, turn="90")
    project = Project("bolts", Box(RectBox(215.9, 182.7823)), (bolt, disc))
    return edits.add_cavities(project, [("hex", 20.0, 21.0, 0.0), ("lid", 60.0, 60.0, 30.0)])[0]  # type: ignore[list-item]


def test_that_a_project_comes_back_equal(project: Project, tmp_path: Path) -> None:
    path = tmp_path / "a.manymold"
    project_file.save(project, path)
    assert project_file.load(path) == project


@given(projects())
def test_that_every_project_comes_back_equal_through_its_text(any_project: Project) -> None:
    text = to_text(any_project)
    assert from_text(text, "f") == any_project
    assert to_text(from_text(text, "f")) == text


foreign = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**6), 10**6) | st.text(st.characters(exclude_categories=["Cs"])),
    lambda below: st.lists(below, max_size=3) | st.dictionaries(st.text("abc", min_size=1), below, max_size=3),
    max_leaves=6,
)


def _objects(value: Any) -> list[dict[str, Any]]:
    if isinstance(value, dict):
        return [value, *(o for v in value.values() for o in _objects(v))]
    return [o for v in value for o in _objects(v)] if isinstance(value, list) else []


@given(projects(), st.lists(st.tuples(st.integers(0, 999), st.text("xyz", min_size=4), foreign), max_size=5))
def test_that_whatever_a_newer_program_wrote_is_written_back(
    any_project: Project, added: list[tuple[int, str, Any]]
) -> None:
    document = json.loads(to_text(any_project))
    places = _objects(document)
    for k, name, value in added:
        places[k % len(places)][name] = value
    assert json.loads(to_text(from_text(json.dumps(document), "f"))) == document


@settings(max_examples=300, deadline=None)
@given(st.data())
def test_that_any_damage_to_a_file_is_one_sentence_or_a_project_that_can_be_saved(data: st.DataObject) -> None:
    text = to_text(_sample())
    for _ in range(data.draw(st.integers(1, 3))):
        at = data.draw(st.integers(0, len(text) - 1))
        piece = data.draw(
            st.sampled_from(["", "9", "-", "e9", '"', "{", "}", "[", "]", ",", "null", "true", "1e308", " "])
        )
        text = text[:at] + piece + text[at + data.draw(st.integers(0, 3)) :]
    try:
        read = from_text(text, "f.manymold")
    except BadFileError:
        return
    assert from_text(to_text(read), "f") == read


PIECES = ["", "9", "-", "e9", chr(34), "{", "}", "[", "]", ",", "null", "true", "1e308", " "]


def _sample() -> Project:
    bolt = read_master("hex:19.05x6.35+dome:16x3")
    project = Project("bolts", Box(RectBox(215.9, 182.7823)), (bolt, read_master("disc:20x5")))
    return edits.add_cavities(project, [(bolt.id, 20.0, 21.0, 0.0)])[0]


@pytest.mark.parametrize(
    "shape", [RoundBox(120.0), OutlineBox(((0.0, 0.0), (90.0, 0.0), (90.0, 40.0), (50.0, 60.0), (0.0, 60.0)))]
)
def test_that_every_kind_of_box_comes_back(project: Project, shape: RoundBox | OutlineBox) -> None:
    changed = edits.set_box(project, Box(shape))
    assert from_text(to_text(changed), "f") == changed


def test_that_unknown_keys_of_every_level_are_written_back_where_they_were(project: Project) -> None:
    document = json.loads(to_text(project))
    document["future"] = {"a": [1, {"b": None}]}
    document["rules"]["draft_rule"] = 2
    document["cavities"][1]["colour"] = "blue"
    document["masters"][0]["footprint"]["seen"] = True
    document["silicone"]["batch"] = "x"
    read = from_text(json.dumps(document), "f")
    assert json.loads(to_text(read)) == document
    moved = edits.remove_cavities(read, [read.cavities[0].id])
    assert json.loads(to_text(moved))["cavities"][0]["colour"] == "blue"


def test_that_a_newer_version_is_refused(project: Project) -> None:
    document = json.loads(to_text(project)) | {"version": 2}
    with pytest.raises(NewerVersionError, match="newer version"):
        from_text(json.dumps(document), "f")


def _damaged(project: Project, change: Any) -> str:
    document = json.loads(to_text(project))
    change(document)
    return json.dumps(document)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        (lambda d: d["rules"].update(wall_mm="x"), "rules.wall_mm"),
        (lambda d: d["rules"].update(wall_mm=-1), "rules.wall_mm"),
        (lambda d: d["rules"].update(wall_mm=1e400), "Infinity"),
        (lambda d: d["rules"].update(turn="45"), "rules.turn"),
        (lambda d: d["cavities"][1].update(master="zz"), "cavities[1].master"),
        (lambda d: d["cavities"][1].update(id="c1"), "cavities[1]"),
        (lambda d: d["cavities"][0].update(x_mm=1e9), "cavities[0].x_mm"),
        (lambda d: d["cavities"][0].update(pinned=1), "cavities[0].pinned"),
        (lambda d: d["box"]["shape"].update(kind="blob"), "box.shape.kind"),
        (lambda d: d["box"]["shape"].update(length_mm=0), "box.shape.length_mm"),
        (lambda d: d["masters"][0].update(height_mm=0), "masters[0].height_mm"),
        (lambda d: d["masters"][0]["footprint"].update(points=[[0, 0], [1, 1]]), "masters[0].footprint.points"),
        (lambda d: d["masters"][0]["footprint"]["points"].reverse(), "masters[0].footprint.points"),
        (lambda d: d["masters"][0]["footprint"]["points"][0].append(3), "masters[0].footprint.points[0]"),
        (lambda d: d["masters"][1]["footprint"].update(radius_mm=-3), "masters[1].footprint.radius_mm"),
        (lambda d: d["masters"][0].update(name="\ud800"), "masters[0].name"),
        (lambda d: d.update(pour_order=["c9"]), "pour_order[0]"),
        (lambda d: d["silicone"].update(ratio_a=0), "silicone.ratio_a"),
        (lambda d: d["silicone"].update(kit_a_g=0), "silicone.kit_a_g"),
        (lambda d: d["silicone"].update(shore_a=1e9), "silicone.shore_a"),
        (lambda d: d["pour"].update(waste_pct=-5), "pour.waste_pct"),
        (lambda d: d["pour"].update(scale_step_g=0), "pour.scale_step_g"),
        (lambda d: d["pour"].update(drop_g=0), "pour.drop_g"),
        (lambda d: d["order"].update(spare_masters=10**9), "order.spare_masters"),
        (lambda d: d.update(limits=[{"kind": "silicone_time", "warn": 0.0, "refuse": 0.0}]), "limits[0]"),
        (lambda d: d.update(version=True), "version"),
        (lambda d: d.update(version="1"), "version"),
        (lambda d: d.pop("box"), "box"),
        (lambda d: d.update(format="other"), "format"),
    ],
)
def test_that_an_error_names_the_field(project: Project, change: Any, field: str) -> None:
    with pytest.raises(BadFileError) as caught:
        from_text(_damaged(project, change), "f.manymold")
    assert field in str(caught.value)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    "text",
    [
        "", "{", "[]", "null", "42", '"manymold"', "{}", "[" * 100_000, '{"a":' * 5000, '{"format": "manymold"}',
        '{"format": "manymold", "format": "manymold", "version": 1}', '{"format": "manymold", "version": NaN}',
        '{"format": "manymold", "version": 1, "name": "x", "box": {"shape": {"diameter_mm": -Infinity}}}',
        '{"format": "manymold", "version": 1' + "0" * 5000 + "}",
    ],
)  # fmt: skip
def test_that_a_damaged_text_is_refused_in_one_sentence(text: str) -> None:
    with pytest.raises(BadFileError) as caught:
        from_text(text, "f.manymold")
    assert "\n" not in str(caught.value)


def test_that_what_is_no_readable_file_is_refused(tmp_path: Path) -> None:
    (tmp_path / "junk.manymold").write_bytes(bytes(range(256)) * 40)
    (tmp_path / "latin.manymold").write_bytes('{"format": "manymold", "name": "Gießform"}'.encode("cp1252"))
    (tmp_path / "empty.manymold").touch()
    for name in ("junk.manymold", "latin.manymold", "empty.manymold", "missing.manymold", ".", "a\0b"):
        with pytest.raises(BadFileError):
            project_file.load(tmp_path / name)


def test_that_a_file_too_large_is_refused_before_it_is_read(tmp_path: Path) -> None:
    path = tmp_path / "huge.manymold"
    with path.open("wb") as stream:
        stream.truncate(10_000_000_000)
    with pytest.raises(BadFileError, match="too large"):
        project_file.load(path)


@pytest.mark.parametrize("call", ["fsync", "fdopen", "replace"])
def test_that_a_full_disk_never_harms_the_old_file(
    project: Project, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, call: str
) -> None:
    path = tmp_path / "a.manymold"
    project_file.save(project, path)
    before = path.read_bytes()

    def full(*arguments: Any, **named: Any) -> Any:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(*((Path, "replace") if call == "replace" else (os, call)), full)
    with pytest.raises(CannotWriteError, match="space"):
        project_file.save(edits.remove_cavities(project, [c.id for c in project.cavities]), path, keep_backup=True)
    assert path.read_bytes() == before
    assert [p.name for p in tmp_path.iterdir()] == ["a.manymold"]


def test_that_a_folder_that_is_missing_or_locked_is_named(
    project: Project, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with pytest.raises(CannotWriteError, match="no folder"):
        project_file.save(project, tmp_path / "no" / "a.manymold")
    with pytest.raises(CannotWriteError, match="it is a folder"):
        project_file.save(project, tmp_path)

    def denied(*arguments: Any, **named: Any) -> Any:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("layout.safe_write.tempfile.mkstemp", denied)
    with pytest.raises(CannotWriteError, match="permission denied"):
        project_file.save(project, tmp_path / "a.manymold")


def test_that_a_backup_holds_the_file_before(project: Project, tmp_path: Path) -> None:
    path = tmp_path / "a.manymold"
    project_file.save(project, path)
    emptied = edits.remove_cavities(project, [c.id for c in project.cavities])
    project_file.save(emptied, path, keep_backup=True)
    assert project_file.load(path) == emptied
    assert project_file.load(tmp_path / "a.manymold.bak") == project


def test_that_a_link_is_followed_and_rights_are_kept(project: Project, tmp_path: Path) -> None:
    real, link = tmp_path / "real.manymold", tmp_path / "link.manymold"
    project_file.save(project, real)
    real.chmod(0o640)
    link.symlink_to(real)
    project_file.save(project, link)
    assert link.is_symlink()
    assert real.stat().st_mode & 0o777 == 0o640


def _numbers(value: Any, path: str = "") -> list[tuple[str, dict[str, Any] | list[Any], Any]]:
    """Every place in a document that holds a number, with what holds it."""
    found: list[tuple[str, dict[str, Any] | list[Any], Any]] = []
    steps = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for step, below in steps:
        name = f"{path}[{step}]" if isinstance(step, int) else f"{path}.{step}".lstrip(".")
        if isinstance(below, (int, float)) and not isinstance(below, bool):
            found.append((name, value, step))
        else:
            found.extend(_numbers(below, name))
    return found


def test_that_every_number_is_checked_and_the_error_names_its_field(project: Project) -> None:
    text = to_text(edits.accept(project, "thin_wall", "x"))
    places = _numbers(json.loads(text))
    assert len(places) > 100
    for k, (name, _, _) in enumerate(places):
        for absurd in (1e15, "many"):
            document = json.loads(text)
            _, holder, step = _numbers(document)[k]
            holder[step] = absurd
            with pytest.raises(BadFileError) as caught:
                from_text(json.dumps(document), "f.manymold")
            if name != "version":
                assert name.split(".points")[0] in str(caught.value)


def test_that_a_file_of_the_first_version_stays_readable() -> None:
    # written once by the first version of the format and kept as it is: fields that came later take their defaults
    read = project_file.load(Path(__file__).parents[1] / "data" / "project_version_1.manymold")
    assert [(m.id, m.turn, m.wanted) for m in read.masters] == [("hex", None, None), ("lid", "90", 4)]
    assert [(c.id, c.pinned) for c in read.cavities] == [("c1", True), ("c2", False), ("c3", False)]
    assert (read.box.sheet, read.box.thickness_mm, len(read.keep_outs), read.pour_order) == ("acrylic", 3.1, 2, ("c3",))
    assert (read.overrides[0].reason, read.log[0].good, read.units.denominator) == ("trial piece", 46, 64)
    assert from_text(to_text(read), "f") == read


def test_that_holes_are_kept_and_an_older_file_without_them_is_read() -> None:
    project = edits.add_master(Project("rings", Box(RectBox(80.0, 60.0))), read_master("ring:30x18x6"))
    assert from_text(to_text(project), "a file") == project
    older = json.loads(to_text(project))
    del older["masters"][0]["holes"]
    assert from_text(json.dumps(older), "a file").masters[0].holes == ()


def test_that_a_hole_outside_the_footprint_is_named() -> None:
    project = edits.add_master(Project("rings", Box(RectBox(80.0, 60.0))), read_master("ring:30x18x6"))
    wrong = json.loads(to_text(project))
    wrong["masters"][0]["holes"] = [[[10.0, 0.0], [20.0, 0.0], [10.0, 5.0]]]
    with pytest.raises(BadFileError, match=r"masters\[0\]\.holes\[0\]"):
        from_text(json.dumps(wrong), "a file")
