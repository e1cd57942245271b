"""How the page is served."""

import json

from streamlit import config

from ui.serve import PAGE, settings
from ui.sharing.addresses import EVERYWHERE, own_addresses
from ui.sharing.gate import VISITOR_HEADER
from ui.theme import OPTIONS
from ui.uploads import LARGEST_UPLOAD_MB


def test_it_listens_to_this_machine_and_sends_nothing() -> None:
    given = settings(8601)
    assert PAGE.is_file()
    assert (given["server.address"], given["server.port"]) == ("127.0.0.1", 8601)
    assert given["server.allowedHosts"] == ["127.0.0.1", "localhost"]
    assert given["browser.gatherUsageStats"] is False
    assert given["server.maxUploadSize"] == LARGEST_UPLOAD_MB
    assert OPTIONS.items() <= given.items()


def test_no_other_site_may_use_it_and_no_file_is_handed_out() -> None:
    for given in (settings(8601), settings(8601, EVERYWHERE, shared=True)):
        assert given["server.enableXsrfProtection"] is True
        assert given["server.enableCORS"] is True
        assert given["server.enableStaticServing"] is False
        assert json.loads(given["server.trustedUserHeaders"]) == {VISITOR_HEADER: "visitor"}


def test_shared_it_answers_to_this_machines_names_and_keeps_its_errors_to_itself() -> None:
    given = settings(8601, EVERYWHERE, shared=True)
    assert set(own_addresses()) | {"127.0.0.1", "localhost"} <= set(given["server.allowedHosts"])
    assert (
        "*" not in given["server.allowedHosts"] and EVERYWHERE not in given["server.allowedHosts"]
    )
    assert given["client.showErrorDetails"] == "none"


def test_every_setting_is_one_that_streamlit_has() -> None:
    for name, value in settings(8601).items():
        kind = config._config_options_template[name].type
        assert isinstance(value, kind) or (kind is str and isinstance(value, list)), name
