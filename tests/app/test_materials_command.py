import json

import pytest

from app import user_catalogue
from app.commands import run as frame
from layout import project_file
from layout.errors import BadFileError
from layout.materials import parse_mix


@pytest.fixture(autouse=True)
def own_data_folder(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    return tmp_path / "manymold"


def test_that_materials_lists_every_name_that_may_be_typed(capsys):
    assert frame.run(["materials", "--json"]) == 0
    document = json.loads(capsys.readouterr().out)
    for mix in document["silicones"]:
        assert parse_mix(mix["name"], "x", "silicone").name == mix["name"]
    for mix in document["resins"]:
        assert parse_mix(mix["name"], "x", "resin").name == mix["name"]
    assert "foam board" in [s["name"] for s in document["sheets"]]


def test_that_the_list_for_people_names_them_too(capsys):
    assert frame.run(["materials"]) == 0
    out = capsys.readouterr().out
    assert "fast platinum" in out
    assert "data sheet" in out


def test_that_the_users_own_material_is_kept_on_disk_and_listed(own_data_folder, capsys):
    mine = parse_mix("name=bench mix,a=1.07,b=1.09,ratio=1:1w,pot=15", "x", "silicone")
    user_catalogue.save(user_catalogue.users_own().with_mix(mine, "silicone"))
    assert user_catalogue.users_own().silicones == (mine,)
    assert (own_data_folder / "materials.json").exists()
    frame.run(["materials", "--kind", "silicone"])
    assert "bench mix" in capsys.readouterr().out


def test_that_a_damaged_catalogue_is_named_and_left_alone(own_data_folder, capsys):
    own_data_folder.mkdir()
    file = own_data_folder / "materials.json"
    file.write_text("{ damaged")
    with pytest.raises(BadFileError):
        user_catalogue.catalogue()
    assert frame.run(["materials"]) == 2
    assert str(file) in capsys.readouterr().err
    assert file.read_text() == "{ damaged"


def test_that_own_materials_are_kept_and_removed_by_command(own_data_folder, capsys):
    silicone = "name=bench mix,a=25in3/lb,b=1.09,ratio=1:1w"
    assert frame.run(["materials", "--keep-silicone", silicone, "--keep-sheet", "twin wall:6,e=1.1"]) == 0
    own = user_catalogue.users_own()
    assert [m.name for m in own.silicones] == ["bench mix"]
    assert (own.sheets[0].name, own.sheets[0].thickness_mm, own.sheets[0].e_gpa) == ("twin wall", 6.0, 1.1)
    assert frame.run(["materials", "--remove", "Bench-Mix"]) == 0
    assert user_catalogue.users_own().silicones == ()
    capsys.readouterr()


@pytest.mark.parametrize(
    "options",
    [
        ["--keep-silicone", "a=1,b=1,ratio=1:1v"], ["--keep-resin", "name=x,a=1,b=1,ratio=0:1v"],
        ["--keep-sheet", "6"], ["--keep-sheet", "twin:0"], ["--keep-sheet", "twin:6,e=0"],
        ["--keep-sheet", "foam board:5,laser"], ["--remove", "fast platinum"],
    ],
)  # fmt: skip
def test_that_what_cant_be_kept_is_one_sentence_and_nothing_is_written(own_data_folder, capsys, options):
    assert frame.run(["materials", *options]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.count("\n") == 1
    assert not own_data_folder.exists()


def test_that_a_sheet_of_ones_own_brings_its_stiffness_to_the_box(tmp_path, capsys):
    assert frame.run(["materials", "--keep-sheet", "twin wall:6,e=1.1"]) == 0
    path = tmp_path / "box.manymold"
    new = ["new", str(path), "--box", "100x80", "--panel", "twin wall:5.9", "--master", "disc:20x5"]
    assert frame.run(new) == 0
    box = project_file.load(path).box
    assert (box.sheet, box.thickness_mm, box.stiffness_gpa) == ("twin wall", 5.9, 1.1)
    assert frame.run(["set", str(path), "--panel", "acrylic:3"]) == 0
    assert project_file.load(path).box.stiffness_gpa is None
    capsys.readouterr()


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("vinyl siding:3,laser", "chlorine"),
        ("blue foam:10,laser", "catch fire"),
        ("twin wall:6in", "no sheet's thickness"),
        ("twin wall", "no name and thickness"),
        ("twin wall:6,stock=20", "not a size"),
    ],
)
def test_that_a_sheet_that_makes_no_sense_is_not_kept(capsys, typed, why):
    assert frame.run(["materials", "--keep-sheet", typed]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert why in told.err
    assert user_catalogue.users_own().sheets == ()


def test_that_keeping_says_what_was_kept_and_the_list_gives_inches_and_kits(capsys):
    assert frame.run(["materials", "--keep-sheet", "twin wall:6,stock=20x30in"]) == 0
    assert capsys.readouterr().out == "Kept: twin wall:6,stock=20x30in\n"
    assert frame.run(["materials"]) == 0
    out = capsys.readouterr().out
    assert (
        "twin wall                  6.00 mm (1/4 in), sold as 508 x 762 mm (20 x 30 in), 1 GPa stiff; no laser" in out
    )
    assert "4.76 mm (3/16 in), sold as 762 x 508 mm (30 x 20 in)" in out
    assert "kit 450 + 450 g" in out


def test_that_a_pot_life_at_75_degrees_must_say_which(capsys):
    assert frame.run(["materials", "--keep-silicone", "name=x,a=1.07,b=1.09,ratio=1:1w,pot=15@75"]) == 2
    assert "write 75F or 75C" in capsys.readouterr().err
