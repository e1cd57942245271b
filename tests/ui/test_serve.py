"""How the page is served."""

import json
import socket

import pytest
from streamlit import config

from solver.errors import InputError
from ui.serve import PAGE, serve, settings
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


def test_a_port_that_is_taken_is_told_before_anything_is_served() -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        with pytest.raises(InputError, match=f"port {port}: Address already in use.*--port"):
            serve(port)


@pytest.mark.parametrize("address", ["192.0.2.1", "no such name.invalid"])
def test_an_address_of_another_machine_is_told_as_well(address: str) -> None:
    with pytest.raises(InputError, match="one of this machine's"):
        serve(8501, address)


def test_every_setting_is_one_that_streamlit_has() -> None:
    for name, value in settings(8601).items():
        kind = config._config_options_template[name].type
        assert isinstance(value, kind) or (kind is str and isinstance(value, list)), name
