from PySide6.QtCore import QByteArray

from triage.ui.settings import Settings


def test_a_new_window_has_usual_text_and_the_list(tmp_path):
    settings = Settings(tmp_path / "window.ini")
    assert settings.text_scale == 1.0
    assert settings.is_list_shown
    assert settings.state("geometry") is None


def test_the_state_comes_back(tmp_path):
    first = Settings(tmp_path / "window.ini")
    first.text_scale = 1.5
    first.is_list_shown = False
    first.keep_state("geometry", QByteArray(b"abc"))
    first.sync()
    again = Settings(tmp_path / "window.ini")
    assert again.text_scale == 1.5
    assert not again.is_list_shown
    assert again.state("geometry") == QByteArray(b"abc")


def test_a_damaged_file_counts_as_empty(tmp_path):
    path = tmp_path / "window.ini"
    path.write_text("[text]\nscale=large\n[window]\nlist=perhaps\ngeometry=7\n", encoding="utf-8")
    settings = Settings(path)
    assert settings.text_scale == 1.0
    assert settings.state("geometry") is None
