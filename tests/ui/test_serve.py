"""How the page is served."""

from ui.serve import PAGE, arguments
from ui.theme import OPTIONS
from ui.uploads import LARGEST_UPLOAD_MB


def test_it_listens_to_this_machine_and_sends_nothing() -> None:
    flags = arguments(8601)
    assert flags[:2] == ["run", str(PAGE)] and PAGE.is_file()
    assert "--server.address=127.0.0.1" in flags
    assert "--server.port=8601" in flags
    assert "--browser.gatherUsageStats=false" in flags
    assert f"--server.maxUploadSize={LARGEST_UPLOAD_MB}" in flags
    assert {f"--{name}={value}" for name, value in OPTIONS.items()} <= set(flags)
