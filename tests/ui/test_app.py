"""The frame: every page can be reached and draws itself."""

from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from ui.app import PAGES

FRAME = Path(__file__).parents[2] / "ui" / "app.py"


@pytest.mark.parametrize(("name", "title"), PAGES.items())
def test_a_page_draws_itself_under_its_title(name: str, title: str) -> None:
    page = AppTest.from_file(str(FRAME), default_timeout=60).run()
    page.switch_page(f"app_pages/{name}.py").run()
    assert not page.exception
    assert [heading.value for heading in page.title] == [title]
    assert title not in [text.value for text in page.markdown]


def test_every_page_file_is_in_the_frame() -> None:
    files = {path.stem for path in (FRAME.parent / "app_pages").glob("*.py")} - {"__init__"}
    assert files == set(PAGES)


def test_nothing_is_drawn_by_a_worker_that_imports_it() -> None:
    """A spawned worker runs the main file under another name."""
    page = AppTest.from_string(
        "import runpy, ui.app\nrunpy.run_path(ui.app.__file__, run_name='x')"
    )
    page.run(timeout=60)
    assert not page.exception and not page.title
