"""The pour sheet by command line. Figures of the worked example; see tests/layout/pour/test_worked_example.py."""

import csv
import json
import re
from dataclasses import replace

import pytest

from app.commands import run as frame
from layout import edits, project_file
from layout.materials import parse_mix
from tests.worked_example import grid_of_48


@pytest.fixture(autouse=True)
def own_data_folder(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))


@pytest.fixture
def e1(tmp_path):
    path = tmp_path / "e1.manymold"
    project_file.save(grid_of_48(), path)
    return path


def _json(capsys, *arguments):
    assert frame.run(["report", *map(str, arguments), "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def test_that_the_worked_example_comes_out_by_command_line(e1, capsys):
    document = _json(capsys, e1)
    silicone = document["silicone"]
    for key, value in {"net_ml": 633.91, "batch_ml": 685.6, "mass_g": 781.6, "a_g": 377.1, "b_g": 404.5}.items():
        assert silicone[key] == pytest.approx(value, abs=0.05)
    assert silicone["box_ml"] - silicone["masters_ml"] == pytest.approx(silicone["net_ml"], rel=1e-12)
    assert silicone["a_g"] + silicone["b_g"] == pytest.approx(silicone["mass_g"], rel=1e-12)
    assert (silicone["batches"], silicone["kits"]) == (1, 1)
    assert silicone["container_ml"] == pytest.approx(2742, abs=0.5)
    assert document["pour_height_mm"] == pytest.approx(18.875)
    assert document["resin"]["cavities_per_batch"] == 36
    assert document["resin"]["batches"] == 2
    assert {w["severity"] for w in document["warnings"]} <= {"info", "warn"}
    assert all(w["message"] for w in document["warnings"])


def test_that_each_promised_key_is_there(e1, capsys):
    document = _json(capsys, e1)
    promised = "box_ml masters_ml net_ml batch_ml per_batch_ml mass_g a_g b_g a_ml b_ml batches container_ml kits"
    assert set(promised.split()) <= set(document["silicone"])
    promised = "per_cavity_ml per_cycle_ml mass_g a_g b_g cavities_per_batch batches"
    assert set(promised.split()) <= set(document["resin"])
    assert {"pour_height_mm", "warnings"} <= set(document)


@pytest.mark.parametrize(
    ("options", "key", "value"),
    [
        (["--container", "2.5l"], "batches", 2),
        (["--degas"], "batches", 4),
        (["--waste", "0", "--cup-film", "0"], "batch_ml", 633.91),
        (["--temperature", "86F"], "pot_life_min", 4.58),
        (["--temperature", "30C"], "pot_life_min", 4.58),
        (["--scale-limit", "500g"], "batches", 2),
        (["--scale-limit", "900g"], "batches", 1),
        (["--scale-limit", "900g", "--tare", "200g"], "batches", 2),
    ],
)
def test_that_what_is_typed_changes_the_pour(e1, capsys, options, key, value):
    assert _json(capsys, e1, *options)["silicone"][key] == pytest.approx(value, abs=0.006)


def test_that_the_settings_typed_are_kept_only_when_asked_for(e1, capsys):
    before = e1.read_bytes()
    _json(capsys, e1, "--temperature", "28C", "--hands", "2")
    assert e1.read_bytes() == before
    _json(capsys, e1, "--temperature", "28C", "--hands", "2", "--keep")
    assert project_file.load(e1).pour.hands == 2


def test_that_the_answer_for_people_shows_the_readings(e1, capsys):
    assert frame.run(["report", str(e1)]) == 0
    out = capsys.readouterr().out
    assert "A 377.1, A + B 781.6" in out
    assert "Kits to buy" in out


@pytest.mark.parametrize("suffix", ["pdf", "html", "csv"])
def test_that_a_sheet_is_written_once_and_never_over_another(e1, tmp_path, capsys, suffix):
    out = tmp_path / f"sheet.{suffix}"
    assert frame.run(["report", str(e1), "-o", str(out)]) == 0
    written = out.read_bytes()
    assert len(written) > 1000
    assert frame.run(["report", str(e1), "-o", str(out)]) == 2
    assert out.read_bytes() == written
    assert frame.run(["report", str(e1), "-o", str(out), "--force", "--waste", "9"]) == 0
    assert out.read_bytes() != written


def test_that_the_pdf_is_one_page_of_the_paper_asked_for(e1, tmp_path):
    for paper, box in (("a4", (595, 842)), ("letter", (612, 792))):
        out = tmp_path / f"{paper}.pdf"
        assert frame.run(["report", str(e1), "-o", str(out), "--paper", paper]) == 0
        data = out.read_bytes()
        assert len(re.findall(rb"/Type\s*/Page\b", data)) == 1
        found = [float(v) for v in re.search(rb"/MediaBox\s*\[([^]]+)\]", data)[1].split()]
        assert found[2:] == pytest.approx(box, abs=1)


def test_that_the_csv_is_read_back_with_plain_numbers(e1, tmp_path):
    out = tmp_path / "sheet.csv"
    assert frame.run(["report", str(e1), "-o", str(out)]) == 0
    with out.open(newline="", encoding="utf-8") as stream:
        rows = list(csv.DictReader(stream))
    value = {(r["section"], r["item"], r["unit"]): r["value"] for r in rows}
    assert float(value[("silicone", "net", "mL")]) == pytest.approx(633.91)
    assert float(value[("batch 1", "reading after A and B", "g")]) == pytest.approx(781.59)
    numbers = value[("resin batch 1", "cavities", "numbers")] + " " + value[("resin batch 2", "cavities", "numbers")]
    assert [int(n) for n in numbers.split()] == list(range(1, 49))


def test_that_a_refusal_stops_the_export_and_a_reason_lets_it_through_and_is_kept(e1, tmp_path, capsys):
    out = tmp_path / "hot.html"
    hot = ["report", str(e1), "-o", str(out), "--temperature", "36C"]
    assert frame.run(hot) == 1
    said = capsys.readouterr()
    assert said.out == ""
    assert "--accept warm_parts=REASON" in said.err
    assert not out.exists()
    assert project_file.load(e1).overrides == ()
    kinds = re.findall(r"--accept (\w+)=REASON", said.err)
    reasons = [part for kind in kinds for part in ("--accept", f"{kind}=hot week, tried before")]
    assert frame.run([*hot, *reasons]) == 0
    assert "hot week, tried before" in out.read_text(encoding="utf-8")
    assert {o.kind for o in project_file.load(e1).overrides} == set(kinds)


def test_that_a_layout_that_breaks_its_own_rules_is_not_exported_but_shown(e1, tmp_path, capsys):
    project = project_file.load(e1)
    project_file.save(edits.move_cavities(project, ["c1"], 5.0, 0.0), e1)
    out = tmp_path / "sheet.csv"
    assert frame.run(["report", str(e1), "-o", str(out)]) == 1
    assert not out.exists()
    capsys.readouterr()
    assert frame.run(["report", str(e1)]) == 0
    assert "Broken: The wall between" in capsys.readouterr().out


@pytest.mark.parametrize(
    "options",
    [
        ["--temperature", "nan"], ["--temperature", "90C"], ["--waste", "-1"], ["--waste", "1e9"], ["--cup-film", "-3"],
        ["--container", "0"], ["--container", "inf"], ["--hands", "0"], ["--hands", "1.5"], ["--headroom", "0"],
        ["--pour-rate", "0"], ["--humidity", "130"], ["--start", "25:00"], ["--date", "soon"], ["--correction", "0"],
        ["--small-mold", "knob"], ["--small-mold", "knob:0"], ["--accept", "warm_parts"], ["--accept", "warm_parts= "],
        ["-o", "sheet.doc"], ["-o", "nowhere/sheet.pdf"], ["--degas", "--no-degas"],
    ],
)  # fmt: skip
def test_that_bad_input_is_one_sentence_and_exit_code_2(e1, capsys, options, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    before = e1.read_bytes()
    assert frame.run(["report", str(e1), *options]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.count("\n") == 1
    assert e1.read_bytes() == before


def test_that_a_project_without_cavities_has_silicone_and_no_resin(tmp_path, capsys):
    path = tmp_path / "bare.manymold"
    assert frame.run(["new", str(path), "--box", "100x80", "--master", "disc:20x5"]) == 0
    capsys.readouterr()
    document = _json(capsys, path)
    assert document["resin"]["per_cavity_ml"] is None
    assert document["resin"]["batches"] == 0
    assert document["silicone"]["net_ml"] == pytest.approx(100 * 80 * (5 + 9.525) / 1000)


def test_that_resin_that_sets_before_it_is_poured_has_no_number_of_batches(e1, capsys):
    resin = parse_mix("a=1.1,b=1.0,ratio=1:1v,pot=0.5,demold=5", "--resin", "resin")
    project_file.save(replace(grid_of_48(), resin=resin), e1)
    document = _json(capsys, e1)
    assert document["resin"]["cavities_per_batch"] == 0
    assert document["resin"]["batches"] is None


def test_that_a_second_volume_an_undercut_and_own_limits_are_typed_and_judged(e1, capsys):
    weighed = ["--measured", "bolt:2.55g@1.05"]  # 2.429 mL against 2.311: 4.8 %
    kinds = {w["kind"]: w for w in _json(capsys, e1, *weighed, "--undercut", "bolt:22/20")["warnings"]}
    assert kinds["two_volumes"]["severity"] == "warn"
    assert kinds["undercut"]["measured"] == pytest.approx(0.10)
    assert kinds["undercut"]["severity"] == "info"
    # hung in water of 20 deg C the part makes the balance show 2.307 g: worked example
    in_water = _json(capsys, e1, "--measured", "bolt:2.307g@water")
    assert "two_volumes" not in {w["kind"] for w in in_water["warnings"]}
    loose = _json(capsys, e1, *weighed, "--limit", "two_volumes:5/9")
    assert "two_volumes" not in {w["kind"] for w in loose["warnings"]}


@pytest.mark.parametrize(
    "options",
    [
        ["--measured", "lid:2ml"], ["--measured", "2ml"], ["--measured", "bolt:0ml"], ["--measured", "bolt:2g@0"],
        ["--undercut", "bolt:22"], ["--undercut", "bolt:22/0"], ["--undercut", "bolt:20/22"],
        ["--limit", "luck:1"], ["--limit", "bulge:1/0.5"],
        ["--limit", "bulge"],
    ],
)  # fmt: skip
def test_that_what_was_measured_wrongly_is_one_sentence(e1, capsys, options):
    assert frame.run(["report", str(e1), *options]) == 2
    assert capsys.readouterr().err.count("\n") == 1


@pytest.mark.parametrize(
    ("options", "hint"),
    [
        (["--container", "1.5"], "the container can't be 1.5 mL; for litres type 1.5l"),
        (["--temperature", "88"], "is 88 Fahrenheit or Celsius; write 88F or 88C"),
        (["--temperature", "88C"], "for degrees Fahrenheit type 88F"),
        (["--temperature", "50"], "write 50F or 50C"),
    ],
)
def test_that_a_forgotten_unit_is_refused_with_what_was_read(e1, capsys, options, hint):
    assert frame.run(["report", str(e1), *options]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert hint in told.err
    assert told.err.count("\n") == 1


@pytest.mark.parametrize(
    ("typed", "ml"), [("16oz", 473.176), ("16 fl oz", 473.176), ("1qt", 946.353), ("2pt", 946.353)]
)
def test_that_mixing_cups_are_typed_as_they_are_sold(e1, capsys, typed, ml):
    # US liquid measure: 1 fl oz = 29.5735 mL, 1 qt = 32 fl oz, 1 pt = 16 fl oz (NIST Handbook 44 appendix C, memory)
    assert _json(capsys, e1, "--container", typed)["silicone"]["container_ml"] == pytest.approx(ml, abs=0.01)


def _undercut_of_half(path):
    """E1's part with an undercut that any silicone of 30A and harder is torn by; 18A takes up to 54 %."""
    project = project_file.load(path)
    return edits.replace_master(project, replace(project.masters[0], undercut=0.58))


def test_that_check_and_report_give_a_finding_the_same_word_and_sentence(e1, capsys):
    project_file.save(_undercut_of_half(e1), e1)
    assert frame.run(["check", str(e1)]) == 0
    checked = capsys.readouterr().out
    assert frame.run(["report", str(e1)]) == 0
    reported = capsys.readouterr().out
    (line,) = [text for text in checked.splitlines() if "stretches the rim" in text]
    assert line.startswith("Stop ")
    assert f"Stop: {line.removeprefix('Stop').strip()}" in reported.splitlines()
    assert "No rule of the project is broken." in checked
    assert "1 point of advice stops the pour sheet" in checked
    assert frame.run(["check", str(e1), "--json"]) == 0
    (found,) = [f for f in json.loads(capsys.readouterr().out)["findings"] if f["kind"] == "undercut"]
    assert (found["severity"], found["asks_reason"]) == ("warn", True)


def test_that_a_refused_sheet_says_what_is_at_fault_and_names_every_kind(e1, tmp_path, capsys):
    # 36 deg C: too warm, too many cavities for one batch of resin; the layout is in order
    out = tmp_path / "sheet.csv"
    assert frame.run(["report", str(e1), "--temperature", "36C", "-o", str(out)]) == 1
    told = capsys.readouterr().err
    assert told.startswith(f"{e1}: nothing was written.")
    assert "mend the layout" not in told
    assert "One batch of resin fills" in told
    assert "take a slower resin" in told
    assert "A and B at 36 °C are warm" in told
    assert "--accept cavities_per_batch=REASON" in told
    assert "--accept warm_parts=REASON" in told
    assert told.count("\n") == 1
    accepted = ["--accept", "warm_parts=hot day", "--accept", "cavities_per_batch=three of us"]
    accepted += ["--accept", "layers=wiped clean between"]
    assert frame.run(["report", str(e1), "--temperature", "36C", "-o", str(out), *accepted]) == 0
    assert out.exists()


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (["--vacuum", "20"], "--vacuum changes nothing without --degas."),
        (["--altitude", "1600", "--degas"], ""),
        (["--tare", "50"], "--tare changes nothing without --scale-limit."),
        (["--tare", "50", "--scale-limit", "2kg"], ""),
    ],
)
def test_that_an_option_that_changes_nothing_is_told(e1, capsys, options, told):
    assert frame.run(["report", str(e1), *options]) == 0
    err = capsys.readouterr().err
    assert told in err
    assert bool(err) == bool(told)


def test_that_positions_left_empty_today_take_silicone_and_no_resin(e1, capsys):
    full, fewer = _json(capsys, e1), _json(capsys, e1, "--empty", "3,7-9")
    # four parts of 2.3114 mL are not there
    assert fewer["silicone"]["net_ml"] - full["silicone"]["net_ml"] == pytest.approx(4 * 2.3114, abs=0.001)
    assert full["resin"]["per_cycle_ml"] - fewer["resin"]["per_cycle_ml"] == pytest.approx(4 * 2.3114 * 1.12, abs=0.001)
    filled = {n for batch in fewer["resin"]["batch_list"] for n in batch["numbers"]}
    assert filled == set(range(1, 49)) - {3, 7, 8, 9}
    assert _json(capsys, e1)["silicone"]["net_ml"] == full["silicone"]["net_ml"]
    assert _json(capsys, e1, "--empty", "48", "--keep")["resin"]["cavities_per_batch"] == 36
    assert [c.empty for c in project_file.load(e1).cavities].count(True) == 1
    assert _json(capsys, e1, "--empty", "none")["silicone"]["net_ml"] == full["silicone"]["net_ml"]


@pytest.mark.parametrize("typed", ["0", "49", "3-", "9-7", "c1", "1-99999999"])
def test_that_a_position_that_is_not_there_is_one_sentence(e1, capsys, typed):
    assert frame.run(["report", str(e1), "--empty", typed]) == 2
    assert capsys.readouterr().err.count("\n") == 1


def test_that_the_gear_is_typed_across_and_tall_and_judged(e1, capsys):
    kinds = {w["kind"] for w in _json(capsys, e1, "--pot", "300x200")["warnings"]}
    assert "gear_too_small" not in kinds  # the block is 283 mm across its corners and 19 tall
    small = _json(capsys, e1, "--pot", "10x8in")["warnings"]
    (said,) = [w for w in small if w["kind"] == "gear_too_small"]
    assert said["required_mm"] == pytest.approx(254.0)
    degassed = _json(capsys, e1, "--degas", "--container-size", "180x200", "--chamber", "150x300")["warnings"]
    assert any("does not go into the vacuum chamber" in w["message"] for w in degassed)


def test_that_the_allowance_is_a_height_or_a_volume_for_each_cavity(e1, capsys):
    plain = _json(capsys, e1)["resin"]["per_cavity_ml"]
    assert _json(capsys, e1, "--overfill", "0.2ml")["resin"]["per_cavity_ml"] == pytest.approx(plain + 0.2)
    # 0.5 mm over the back of 314.28 mm2 (hexagon of 19.05 across flats)
    assert _json(capsys, e1, "--overfill", "0.5")["resin"]["per_cavity_ml"] == pytest.approx(plain + 0.15714, abs=1e-4)


def test_that_an_altitude_in_feet_is_the_same_in_metres(e1, capsys):
    metres, feet = (
        next(w["message"] for w in _json(capsys, e1, "--degas", "--altitude", a)["warnings"] if w["kind"] == "vacuum")
        for a in ("1609.344", "5280ft")
    )
    assert metres == feet
    assert "can never pass 24.6" in metres


def test_that_a_slip_in_a_kind_that_is_accepted_is_told(e1, capsys):
    assert frame.run(["report", str(e1), "--accept", "warm_part=hot day"]) == 2
    told = capsys.readouterr().err
    assert "'warm_part'" in told
    assert "warm_parts" in told.split(";")[1]
    assert project_file.load(e1).overrides == ()


def test_that_a_reason_is_kept_only_for_what_is_refused_is_repeated_and_can_be_taken_back(e1, tmp_path, capsys):
    hot = ["report", str(e1), "--temperature", "36C", "--force", "-o", str(tmp_path / "sheet.csv")]
    taken = ["warm_parts=hot day", "cavities_per_batch=three of us", "layers=wiped", "tall_web=trial"]
    assert frame.run([*hot, *(word for text in taken for word in ("--accept", text))]) == 0
    told = capsys.readouterr().err
    assert "kept in" in told
    assert "--take-back warm_parts" in told
    assert "nothing of the kind tall_web is refused here; not kept" in told
    assert {o.kind for o in project_file.load(e1).overrides} == {"warm_parts", "cavities_per_batch", "layers"}
    assert frame.run(hot) == 0
    again = capsys.readouterr().err
    assert "Stop: A and B at 36 °C are warm" in again
    assert "Taken on: hot day" in again
    assert "kept in" not in again
    assert frame.run([*hot, "--take-back", "warm_parts"]) == 1
    assert frame.run(["report", str(e1), "--take-back", "warm_parts"]) == 0
    assert {o.kind for o in project_file.load(e1).overrides} == {"cavities_per_batch", "layers"}
    assert frame.run(["report", str(e1), "--take-back", "warm_parts"]) == 2


def test_that_a_tray_of_resin_is_poured_as_resin(e1, tmp_path, capsys):
    tray = tmp_path / "tray.manymold"
    assert frame.run(["rigid", str(e1), "--box-project", str(tray)]) == 0
    capsys.readouterr()
    assert frame.run(["report", str(tray)]) == 0
    said = capsys.readouterr().out
    assert "Tray resin, scale readings in grams" in said
    assert "silicone" not in said.lower()
    assert "can run hot" in said
    assert "platinum" not in said.lower()


def test_that_a_pot_life_without_its_temperature_is_marked_as_a_guess(e1, capsys):
    project = project_file.load(e1)
    for typed, guessed in (("pot=30,demold=90", True), ("pot=30@73F,demold=90", False)):
        mix = parse_mix(f"a=1.08,b=0.97,ratio=100:10w,{typed}", "", "silicone")
        project_file.save(replace(project, silicone=mix), e1)
        assert frame.run(["report", str(e1)]) == 0
        assert ("the temperature of its pot life" in capsys.readouterr().out) == guessed
