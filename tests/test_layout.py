"""The project's own rules: imports point one way, types and style hold, nothing lies about."""

import shutil
import subprocess
import sys
import tomllib
from importlib.resources import files
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
VISIBLE = {
    "solver", "vision", "ui", "tests", "sample_media",
    "README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml",
}  # fmt: skip
MADE_BY_TOOLS = {"build", "brinkangle.egg-info"}
CHECKS = {
    "imports point one way": ["lint-imports", "--no-cache"],
    "types": ["mypy"],
    "style": ["ruff", "check", "."],
}


@pytest.mark.parametrize("command", CHECKS.values(), ids=list(CHECKS))
def test_the_project_passes(command: list[str]) -> None:
    tool = shutil.which(command[0], path=str(Path(sys.executable).parent))
    assert tool, f"{command[0]} is not installed beside {sys.executable}: pip install -e '.[test]'"
    done = subprocess.run([tool, *command[1:]], cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr


def test_nothing_else_is_visible_at_the_top() -> None:
    visible = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    assert visible - MADE_BY_TOOLS == VISIBLE


def test_every_package_is_shipped() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())
    shipped = set(project["tool"]["setuptools"]["packages"])
    found = {
        ".".join(path.parent.relative_to(ROOT).parts)
        for room in ("solver", "vision", "ui", "sample_media")
        for path in (ROOT / room).rglob("__init__.py")
    }
    assert shipped == found


def test_the_samples_are_found_with_their_truth() -> None:
    names = {path.name for path in files("sample_media").iterdir()}
    clips = {name for name in names if name.endswith((".mp4", ".mov"))}
    assert clips
    assert {f"{Path(clip).stem}.truth.json" for clip in clips} <= names


def test_the_readme_states_the_command_that_is_run() -> None:
    script = (ROOT / ".ci" / "run").read_text()
    command = script.partition('test_command="')[2].partition('"\n')[0]
    assert command in (ROOT / "README.md").read_text()
