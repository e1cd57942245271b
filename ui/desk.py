"""What the pages share: the bench of workers, the folder of uploads, and what was measured."""

from __future__ import annotations

from concurrent.futures import Future
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

import streamlit as st
from uncertainties import nominal_value, std_dev

from solver.quantities import Quantity
from ui.ending import at_the_end
from ui.jobs import Bench, Ticket
from ui.stills import Still, first_still
from ui.uploads import KeptClip
from vision.reading import ClipSetup, Marks


@dataclass(frozen=True)
class Request:
    """One clip to be measured in one way."""

    clip: KeptClip
    radius_m: Quantity
    setup: ClipSetup

    @property
    def key(self) -> tuple[str, float, float, Marks | None, float | None]:
        """All that moves the reading: the clip's content and the settings."""
        setup = self.setup
        start = float(nominal_value(setup.start_tilt_rad))
        return self.clip.sha256, setup.radius_m, start, setup.marks, setup.onset_s

    @property
    def basis(self) -> tuple[str, float, float, float]:
        """What was given before any hand was in it."""
        r = self.radius_m
        start = nominal_value(self.setup.start_tilt_rad)
        return self.clip.sha256, float(nominal_value(r)), float(std_dev(r)), float(start)


@st.cache_resource
def bench() -> Bench:
    """The one bench of this server; closed when it ends, whatever is still being measured."""
    bench = Bench()
    at_the_end(bench.close)
    return bench


@st.cache_resource
def _folder() -> TemporaryDirectory[str]:
    folder = TemporaryDirectory(prefix="brinkangle-clips-")
    at_the_end(folder.cleanup)
    return folder


def upload_folder() -> Path:
    """Where uploads are kept until they are deleted, or the server ends."""
    return Path(_folder().name)


def ticket(request: Request) -> Ticket:
    """The measurement of a request: begun now, under way or done."""
    return _ticket(repr(request.key), request)


def forget(request: Request) -> None:
    """Let the next ticket of a request be a new one."""
    _ticket.clear(repr(request.key), request)


@st.cache_resource(max_entries=32, show_spinner=False)
def _ticket(key: str, _request: Request) -> Ticket:
    return bench().measure(_request.clip.path, _request.setup)


def delete(request: Request) -> None:
    """Remove an uploaded clip from this machine, with its first frame and its reading."""
    request.clip.path.unlink(missing_ok=True)
    forget(request)
    _still.clear(request.clip.sha256, request.clip.path)


def still(clip: KeptClip) -> Future[Still]:
    """The clip's first frame, made in a worker."""
    return _still(clip.sha256, clip.path)


@st.cache_resource(max_entries=16, show_spinner=False)
def _still(sha256: str, _path: Path) -> Future[Still]:
    return bench().submit(first_still, _path)
