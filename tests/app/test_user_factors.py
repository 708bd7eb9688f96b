import pytest

from app import user_factors
from layout.errors import CannotWriteError


def test_that_factors_are_kept_by_kind_of_box(tmp_path):
    path = tmp_path / "deep" / "factors.json"
    user_factors.remember("rectangular, foam board", 1.05, path)
    user_factors.remember("round, acrylic", 0.98, path)
    user_factors.remember("round, acrylic", 1.02, path)
    assert user_factors.factors(path) == {"rectangular, foam board": 1.05, "round, acrylic": 1.02}


@pytest.mark.parametrize("text", ["", "[]", "{", '{"a": "x"}', '{"a": 99}', '{"a": NaN}', "[" * 5000])
def test_that_damaged_factors_count_as_none(tmp_path, text):
    path = tmp_path / "factors.json"
    path.write_text(text)
    assert user_factors.factors(path) == {}


def test_that_a_folder_that_cant_be_made_is_told(tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(CannotWriteError):
        user_factors.remember("x", 1.0, tmp_path / "file" / "factors.json")
