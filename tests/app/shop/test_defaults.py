from __future__ import annotations

from pathlib import Path

import pytest

from kerfproof.errors import KerfproofError
from kerfproof_app.shop import defaults, store


def test_settings_are_empty_without_a_file_and_tell_all_mistakes_with_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    own_folder = tmp_path / "own"
    monkeypatch.setenv(store.CONFIG_VARIABLE, str(own_folder))
    assert defaults.settings() == defaults.Settings()
    own_folder.mkdir()
    (own_folder / "settings.toml").write_text('machine = "shed"\nthickness = "1/8 in"\n', encoding="utf-8")
    assert defaults.settings() == defaults.Settings(machine="shed", thickness="1/8 in")
    (own_folder / "settings.toml").write_text("thickness = 3\ncolour = 'red'\n", encoding="utf-8")
    with pytest.raises(KerfproofError, match=r"(?s)thickness: must be text in quotes.*colour: is not known"):
        defaults.settings()
    (own_folder / "settings.toml").write_text("machine = ", encoding="utf-8")
    with pytest.raises(KerfproofError, match="the last line: invalid value"):
        defaults.settings()
    (own_folder / "settings.toml").write_text('thickness = "thick"\nmachine = 3\n', encoding="utf-8")
    with pytest.raises(KerfproofError, match=r"(?s)2 mistakes.*machine: .*thickness: \"thick\""):
        defaults.settings()
