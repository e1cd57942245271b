"""Where the command begins: see that pictures can be worked on, then hand over."""

from __future__ import annotations

import importlib
import os
import sys

WRONG_USAGE = 2
QUIET = {"OPENCV_LOG_LEVEL": "ERROR", "OPENCV_FFMPEG_LOGLEVEL": "-8"}
"""OpenCV and FFmpeg must not mutter into the table: what is wrong with a file, we say."""
SYSTEM_LIBRARIES = ("libGL", "libglib", "libgthread")


def main() -> None:
    """The `brinkangle` command."""
    for setting, quiet in QUIET.items():
        os.environ.setdefault(setting, quiet)
    try:
        importlib.import_module("cv2")
    except ImportError as error:
        print(_advice(error), file=sys.stderr)
        sys.exit(WRONG_USAGE)
    # Only now: the commands import OpenCV.
    importlib.import_module("ui.commands").app()


def _advice(error: ImportError) -> str:
    if any(library in str(error) for library in SYSTEM_LIBRARIES):
        return (
            f"OpenCV needs a system library that is missing ({error}): "
            "apt install libgl1 libglib2.0-0"
        )
    return f"OpenCV cannot be loaded ({error}). Install Brinkangle again: pip install ."


if __name__ == "__main__":
    main()
