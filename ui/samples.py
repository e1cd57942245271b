"""The sample clips that come with Brinkangle, each with its truth."""

from __future__ import annotations

import json
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path

FOLDER = Path(str(files("sample_media")))


@dataclass(frozen=True)
class Sample:
    """A synthetic clip whose truth is known."""

    path: Path
    radius_m: float
    start_tilt_deg: float
    shows: str
    angle_deg: float | None
    """Static brink, or angle of friction; none where the body stays."""

    @property
    def title(self) -> str:
        return self.path.stem.replace("_", " ").capitalize()


def samples() -> list[Sample]:
    """All samples, by name."""
    return [_sample(path) for path in sorted(FOLDER.glob("*.truth.json"))]


def _sample(truth_path: Path) -> Sample:
    truth = json.loads(truth_path.read_text())
    return Sample(
        path=truth_path.with_name(truth["clip"]),
        radius_m=truth["radius_mm"] / 1000,
        start_tilt_deg=truth["start_tilt_deg"],
        shows=truth["shows"],
        angle_deg=truth.get("angle_deg"),
    )
