"""Binding: loopback, next free port."""

from __future__ import annotations

import contextlib
import socket
import ssl
import threading
import time
import urllib.request
from pathlib import Path

import pytest

from tests.web.fake_desk import FakeDesk
from tideover.web.server import CertificateError, NoPortError, check_certificate, free_socket, serve

OURS = Path(__file__).parent / "loopback"


def test_taken_port_moves_on_to_the_next() -> None:
    """Two on one machine do not quarrel."""
    with contextlib.closing(free_socket("127.0.0.1", 0)) as first:
        first.listen()
        port = first.getsockname()[1]
        with contextlib.closing(free_socket("127.0.0.1", port)) as second:
            assert port < second.getsockname()[1] <= port + 20
        with pytest.raises(NoPortError, match="all taken"):
            free_socket("127.0.0.1", port, tries=1)


def test_address_of_another_machine_is_told() -> None:
    """192.0.2.1 is set aside for examples (RFC 5737) and is never this machine."""
    with pytest.raises(NoPortError, match="Give an address of this machine"):
        free_socket("192.0.2.1", 8737)


def test_serves_and_says_where(desk: FakeDesk) -> None:
    """The address said is the one that answers, on loopback."""
    said: list[str] = []
    threading.Thread(target=serve, args=(desk,), kwargs={"port": 0, "say": said.append}, daemon=True).start()
    end = time.monotonic() + 15
    while time.monotonic() < end:
        if said:
            address = said[0].split()[2]
            with contextlib.suppress(OSError), urllib.request.urlopen(f"{address}api/health", timeout=2) as answer:
                assert answer.status == 200
                assert address.startswith("http://127.0.0.1:")
                return
        time.sleep(0.05)
    raise AssertionError(f"nothing answered; said {said}")


def test_serves_over_https_with_a_certificate(desk: FakeDesk) -> None:
    """What a phone needs before it keeps a page; the key beside the certificate is good for nothing but this test."""
    said: list[str] = []
    given = {"port": 0, "say": said.append, "cert": OURS / "certificate.pem", "key": OURS / "key.pem"}
    threading.Thread(target=serve, args=(desk,), kwargs=given, daemon=True).start()
    trusting = ssl.create_default_context(cafile=OURS / "certificate.pem")
    end = time.monotonic() + 15
    while time.monotonic() < end:
        if said:
            address = said[0].split()[2]
            with (
                contextlib.suppress(ConnectionError),
                urllib.request.urlopen(f"{address}api/health", timeout=5, context=trusting) as answer,
            ):
                assert answer.status == 200
                assert address.startswith("https://127.0.0.1:")
                return
        time.sleep(0.05)
    raise AssertionError(f"nothing answered; said {said}")


@pytest.mark.parametrize(("cert", "key"), [("key.pem", "key.pem"), ("certificate.pem", "certificate.pem")])
def test_a_certificate_that_cannot_be_used_is_one_sentence(cert: str, key: str) -> None:
    """Files mixed up: said before anything is served."""
    with pytest.raises(CertificateError, match="Give a certificate and its own private key as PEM files"):
        check_certificate(OURS / cert, OURS / key)


def test_default_is_loopback() -> None:
    """Nobody on the network gets in unless asked to."""
    import inspect

    assert inspect.signature(serve).parameters["host"].default == "127.0.0.1"
    assert socket.inet_aton("127.0.0.1")
