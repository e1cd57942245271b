"""The project's own rules: imports point one way, types and style hold, nothing lies about."""

import shutil
import subprocess
import sys
import tomllib
from fnmatch import fnmatch
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
from setuptools import find_packages

ROOT = Path(__file__).parents[1]
VISIBLE = {
    "solver", "vision", "ui", "tests", "sample_media",
    "README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml",
}  # fmt: skip
ROOMS = ("solver", "vision", "ui", "sample_media")
COMPILED = {".pyc", ".nbi", ".nbc"}
FOR_READERS = {"README.md", ".webp"}
"""Names and endings of what belongs to the documents, not to the program."""
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


def in_rooms(pattern: str) -> list[tuple[str, Path]]:
    """Files of the four rooms, each with the name of its package."""
    paths = (path for room in ROOMS for path in (ROOT / room).rglob(pattern) if path.is_file())
    return [(".".join(path.parent.relative_to(ROOT).parts), path) for path in paths]


def shipping() -> dict[str, Any]:
    settings: dict[str, Any] = tomllib.loads((ROOT / "pyproject.toml").read_text())
    return settings["tool"]["setuptools"]  # type: ignore[no-any-return]


def test_every_package_is_shipped() -> None:
    find = shipping()["packages"]["find"]
    assert find.keys() == {"include", "namespaces"} and not find["namespaces"]
    shipped = find_packages(str(ROOT), include=find["include"])
    assert sorted(shipped) == sorted({package for package, _ in in_rooms("*.py")})
    assert "ui.record.migrations.versions" in shipped


def test_every_file_that_is_no_module_is_shipped() -> None:
    declared = shipping()["package-data"]
    needed = [
        (package, path.name)
        for package, path in in_rooms("*.*")
        if path.suffix not in COMPILED | {".py"} and not FOR_READERS & {path.name, path.suffix}
    ]
    assert {("ui.handouts", "sheet.typ"), ("sample_media", "leaf_tea_topples.mp4")} <= {*needed}
    left_out = [
        f"{package}: {name}"
        for package, name in needed
        if not any(fnmatch(name, pattern) for pattern in declared.get(package, ()))
    ]
    assert not left_out


def test_the_samples_are_found_with_their_truth() -> None:
    names = {path.name for path in files("sample_media").iterdir()}
    clips = {name for name in names if name.endswith((".mp4", ".mov"))}
    assert clips
    assert {f"{Path(clip).stem}.truth.json" for clip in clips} <= names


def test_the_readme_states_the_command_that_is_run() -> None:
    script = (ROOT / ".ci" / "run").read_text()
    command = script.partition('test_command="')[2].partition('"\n')[0]
    assert command in (ROOT / "README.md").read_text()
