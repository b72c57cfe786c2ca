"""``leakmap settings``."""

from __future__ import annotations

from pathlib import Path

import pytest

from leakmap.base.measures import System, Units
from leakmap.console.main import main
from leakmap.console.outcome import Outcome
from leakmap.records.glance import glance
from leakmap.work.here import user
from leakmap.work.kept_settings import keep_setting, kept_settings, settings_path
from leakmap.work.settings import DECLARED, DEFAULTS


@pytest.fixture(autouse=True)
def _usual() -> None:
    """Nothing was set before."""
    settings_path().unlink(missing_ok=True)


def test_all_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    """Each setting stands there with what it is and what it does."""
    assert main(["settings"]) == Outcome.DONE
    said = capsys.readouterr().out
    assert all(setting.name.replace("_", "-") in said and setting.words in said for setting in DECLARED)


def test_one_is_set_and_set_back(capsys: pytest.CaptureFixture[str]) -> None:
    """A value is kept, and "usual" gives the default back; the name that is set signs deeds."""
    assert main(["settings", "user-name", "A. Fitter"]) == Outcome.DONE
    assert user() == "A. Fitter"
    assert main(["settings", "text-percent", "150 %"]) == Outcome.DONE
    assert kept_settings().text_percent == 150
    assert "text-percent  150 %" in capsys.readouterr().out
    assert main(["settings", "text-percent", "usual"]) == Outcome.DONE
    assert main(["settings", "user-name", "usual"]) == Outcome.DONE
    assert kept_settings() == DEFAULTS


@pytest.mark.parametrize("words", [["colour", "red"], ["text-percent", "300"], ["theme", "sepia"]])
def test_what_cannot_be_is_a_wrong_call(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """A name or value that there is not ends with a sentence, and nothing is kept."""
    assert main(["settings", *words]) == Outcome.WRONG_CALL
    assert len(capsys.readouterr().err.splitlines()) == 1
    assert kept_settings() == DEFAULTS


def test_a_new_job_measures_as_the_system(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """In the US a job from a shell is imperial; a setting counts more than the system, a word of the call most."""

    def units_of_new(name: str, *words: str) -> Units:
        path = tmp_path / f"{name}.gpkg"
        assert main(["new", str(path), "--joints", str(table), *words]) == Outcome.DONE
        return glance(path).units

    table = tmp_path / "joints.csv"
    table.write_text('ref,sheet,kind,wkt\nJ-01,B2,crack,"LINESTRING (0 0, 4 0)"\n')
    monkeypatch.setenv("LC_ALL", "en_US.UTF-8")
    assert units_of_new("a") == Units.IMPERIAL
    assert units_of_new("b", "--units", "metric") == Units.METRIC
    keep_setting("units", "metric")
    assert units_of_new("c") == Units.METRIC
    assert units_of_new("d", "--units", "imperial") == Units.IMPERIAL
    keep_setting("units", DEFAULTS.units)


def test_a_new_job_is_given_its_facts(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Words of the call count more than settings; a locale that there is not is a wrong call, and no file is made."""
    table, path = tmp_path / "joints.csv", tmp_path / "pit.gpkg"
    table.write_text('ref,sheet,kind,wkt\nJ-01,B2,crack,"LINESTRING (0 0, 4 0)"\n')
    keep_setting("locale", "fr")
    keep_setting("approver", "B. Heron")
    call = ["new", str(path), "--joints", str(table), "--units", "metric"]
    assert main([*call, "--locale", "zz"]) == Outcome.WRONG_CALL
    assert not path.exists()
    assert main([*call, "--locale", "de", "--legal-owner", "The harbour trust"]) == Outcome.DONE
    job = glance(path)
    assert (job.units, job.legal_owner, job.approver) == (Units(System.METRIC, "de"), "The harbour trust", "B. Heron")
    assert "zz" in capsys.readouterr().err
    for name in ("locale", "approver"):
        keep_setting(name, getattr(DEFAULTS, name))
