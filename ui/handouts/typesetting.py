"""From a template and its data to a PDF, by Typst.

Templates and data are laid into a folder of their own, which is all Typst can
see; it fetches nothing. Data goes in as JSON, so words in it stay words.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from importlib.resources import files
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import typst

from ui.handouts.content import Paper

SHARED = ("sheet.typ", "dot_plot.typ")


@dataclass(frozen=True)
class Sheet:
    """What one PDF is made from."""

    template: str
    """Name of a template beside this module, without its ending."""
    data: Mapping[str, Any]
    """What JSON can hold."""
    pictures: Mapping[str, bytes] = field(default_factory=dict)
    """By the file name the data gives."""


def as_pdf(sheet: Sheet, paper: Paper, standards: tuple[typst.PDFStandard, ...] = ()) -> bytes:
    """The sheet as PDF, tagged for screen readers; ``standards`` such as ``ua-1`` are held to."""
    with TemporaryDirectory(prefix="brinkangle-handout-") as name:
        page = _laid_out(sheet, paper, Path(name))
        return typst.compile(page, root=Path(name), format="pdf", pdf_standards=list(standards))


def as_pictures(sheet: Sheet, paper: Paper, per_inch: float) -> list[bytes]:
    """Its pages as PNG, to look at before printing."""
    with TemporaryDirectory(prefix="brinkangle-handout-") as name:
        page = _laid_out(sheet, paper, Path(name))
        made = typst.Compiler(page, root=Path(name)).compile(format="png", ppi=per_inch)
    assert made is not None  # only a file asked for by name gives nothing
    return made if isinstance(made, list) else [made]


def _laid_out(sheet: Sheet, paper: Paper, folder: Path) -> Path:
    """The folder with all that Typst reads; the file to begin with."""
    for template in (*SHARED, f"{sheet.template}.typ"):
        (folder / template).write_bytes((files("ui.handouts") / template).read_bytes())
    for picture, content in sheet.pictures.items():
        (folder / picture).write_bytes(content)
    data = {"paper": str(paper), **sheet.data}
    (folder / "data.json").write_text(json.dumps(data, allow_nan=False), encoding="utf-8")
    return folder / f"{sheet.template}.typ"
