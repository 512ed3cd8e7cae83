"""Sharing on a network: https with an authority of our own that can vouch for private addresses only.

sources: none; checked with OpenSSL's own verification through Python's ssl module.
"""

from __future__ import annotations

import http.client
import os
import re
import signal
import socket
import ssl
import stat
import subprocess
import sys
from datetime import UTC, datetime
from types import SimpleNamespace

import pytest
from cryptography import x509
from cryptography.x509.oid import ExtendedKeyUsageOID

from palewright.errors import OutputError
from palewright.web import Settings, authority, serving
from palewright.web.authority import certified, fingerprint
from palewright.web.serving import _own_addresses


def verified(made, server_name: str) -> str:
    """Shake hands in memory as a phone would that trusts the authority; what the verification said, "" when it passed."""
    server, client = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER), ssl.create_default_context(cafile=made.authority)
    server.load_cert_chain(made.cert, made.key)
    to_client, to_server = ssl.MemoryBIO(), ssl.MemoryBIO()
    ends = [
        client.wrap_bio(to_client, to_server, server_hostname=server_name),
        server.wrap_bio(to_server, to_client, server_side=True),
    ]
    for _ in range(6):
        for end in list(ends):
            try:
                end.do_handshake()
            except ssl.SSLWantReadError:
                continue
            except ssl.SSLCertVerificationError as error:
                return error.verify_message
            except ssl.SSLError:
                continue
    return ""


def test_a_phone_that_trusts_the_authority_trusts_the_server(tmp_path):
    made = certified(tmp_path, ["192.168.7.20", "yard.local"])
    assert verified(made, "192.168.7.20") == ""
    assert verified(made, "yard.local") == ""
    assert "mismatch" in verified(made, "192.168.7.21")


@pytest.mark.parametrize("name", ["203.0.113.9", "bank.example"])
def test_the_authority_cannot_vouch_for_anything_public(tmp_path, name):
    made = certified(tmp_path, ["10.0.0.2"])
    authority._server(tmp_path / "tls", [name], datetime.now(UTC))
    assert "subtree violation" in verified(made, name)


def test_a_network_with_public_addresses_gets_an_authority_for_the_one_address(tmp_path):
    first = certified(tmp_path, ["10.0.0.2"]).authority.read_bytes()
    made = certified(tmp_path, ["203.0.113.9"])
    assert made.authority.read_bytes() != first
    assert verified(made, "203.0.113.9") == ""
    authority._server(tmp_path / "tls", ["203.0.113.10"], datetime.now(UTC))
    assert "subtree violation" in verified(made, "203.0.113.10")


def test_it_is_made_once_and_renewed_for_another_address(tmp_path):
    first = certified(tmp_path, ["10.0.0.2"])
    texts = [path.read_bytes() for path in (first.authority, first.cert)]
    assert certified(tmp_path, ["10.0.0.2"]) == first
    assert [path.read_bytes() for path in (first.authority, first.cert)] == texts
    certified(tmp_path, ["10.0.0.3"])
    assert first.authority.read_bytes() == texts[0]
    assert first.cert.read_bytes() != texts[1]
    assert verified(first, "10.0.0.3") == ""


@pytest.mark.parametrize("name", ["authority.pem", "authority.key", "server.pem", "server.key"])
def test_what_was_half_written_or_goes_with_another_is_made_anew(tmp_path, name):
    certified(tmp_path / "other", ["10.0.0.2"])
    for spoil in (b"", b"-----BEGIN", (tmp_path / "other" / "tls" / name).read_bytes()):
        made = certified(tmp_path, ["10.0.0.2"])
        (tmp_path / "tls" / name).write_bytes(spoil)
        assert verified(certified(tmp_path, ["10.0.0.2"]), "10.0.0.2") == ""
        assert verified(made, "10.0.0.2") == ""


def test_a_certificate_that_cannot_be_used_is_told_in_words(tmp_path):
    (tmp_path / "x.pem").write_text("a letter")
    for name in ("x.pem", "nothing.pem"):
        with pytest.raises(OutputError, match=name):
            serving._certificate(None, Settings(tmp_path), (tmp_path / name, tmp_path / name), [])


def test_a_clock_that_was_wrong_is_made_good(tmp_path, monkeypatch):
    """Made while the clock was years ahead, nothing is trusted yet when it is right again; a clock that fell back to its
    first day changes nothing."""
    clock = SimpleNamespace(now=lambda zone: datetime(2048, 1, 1, tzinfo=zone))
    monkeypatch.setattr(authority, "datetime", clock)
    ahead = certified(tmp_path, ["10.0.0.2"]).authority.read_bytes()
    clock.now = lambda zone: datetime.now(zone)
    made = certified(tmp_path, ["10.0.0.2"])
    assert made.authority.read_bytes() != ahead
    assert verified(made, "10.0.0.2") == ""
    clock.now = lambda zone: datetime(1970, 1, 1, tzinfo=zone)
    good = made.authority.read_bytes(), made.cert.read_bytes()
    certified(tmp_path, ["10.0.0.2"])
    assert (made.authority.read_bytes(), made.cert.read_bytes()) == good


def test_openssl_takes_it_for_a_server_and_for_nothing_else(tmp_path):
    """source: RFC 5280, 4.2.1.9 (path length), 4.2.1.10 (name constraints), 4.2.1.12 (extended key usage), as `openssl verify` checks them"""
    made = certified(tmp_path, ["192.168.7.20", "yard.local"])

    def said(*more: str, cert=made.cert) -> str:
        command = ["openssl", "verify", "-x509_strict", "-CAfile", str(made.authority), *more, str(cert)]
        return subprocess.run(command, capture_output=True, text=True, check=False).stdout.strip()

    assert said("-purpose", "sslserver", "-verify_ip", "192.168.7.20") == f"{made.cert}: OK"
    assert said("-purpose", "sslserver", "-verify_hostname", "yard.local") == f"{made.cert}: OK"
    for purpose in ("sslclient", "smimesign", "timestampsign"):
        assert "OK" not in said("-purpose", purpose)
    authority_itself = said("-purpose", "smimesign", cert=made.authority)
    assert "OK" not in authority_itself
    for name in ("203.0.113.9", "2001:db8::9", "bank.example"):
        authority._server(tmp_path / "tls", [name], datetime.now(UTC))
        assert "OK" not in said("-purpose", "sslserver")


def test_what_it_signed_signs_nothing(tmp_path):
    made = certified(tmp_path, ["10.0.0.2"])
    limits = x509.load_pem_x509_certificate(made.authority.read_bytes()).extensions.get_extension_for_class(
        x509.BasicConstraints
    )
    assert (limits.critical, limits.value.ca, limits.value.path_length) == (True, True, 0)
    leaf = x509.load_pem_x509_certificate(made.cert.read_bytes()).extensions
    assert not leaf.get_extension_for_class(x509.BasicConstraints).value.ca
    assert list(leaf.get_extension_for_class(x509.ExtendedKeyUsage).value) == [ExtendedKeyUsageOID.SERVER_AUTH]


def test_its_keys_are_for_its_owner_alone(tmp_path):
    made = certified(tmp_path, ["10.0.0.2"])
    assert stat.S_IMODE(os.stat(made.cert.parent).st_mode) == 0o700
    for name in ("authority.key", "server.key"):
        assert stat.S_IMODE(os.stat(made.cert.parent / name).st_mode) == 0o600
    lasts = x509.load_pem_x509_certificate(made.cert.read_bytes()).not_valid_after_utc - datetime.now(UTC)
    assert 390 < lasts.days <= 397  # phones take no longer ones
    assert re.fullmatch(r"(?:[0-9A-F]{2}:){31}[0-9A-F]{2}", fingerprint(made.authority))


def test_hosts_on_the_network_are_answered_by_https_alone(tmp_path):
    origins = Settings(tmp_path, port=1, hosts=("192.168.7.20:2",)).origins
    assert "https://192.168.7.20:2" in origins
    assert "http://192.168.7.20:2" not in origins
    assert "http://127.0.0.1:1" in origins
    assert not Settings(tmp_path).shared


@pytest.mark.skipif(not _own_addresses(), reason="this machine has no address on a network")
def test_a_device_pairs_by_https_while_this_machine_works_by_http(tmp_path):
    address = _own_addresses()[0]
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command = [
        sys.executable,
        "-u",
        "-m",
        "palewright",
        "serve",
        "--data",
        str(tmp_path),
        "--port",
        str(port),
        "--share",
    ]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
    try:
        assert process.stdout is not None
        opening = next(line for line in process.stdout if "/open/" in line).strip().partition(str(port))[2]
        trusting = ssl.create_default_context(cafile=tmp_path / "tls" / "authority.pem")
        far = http.client.HTTPSConnection(address, port + 1, context=trusting, timeout=30)
        far.request("GET", "/pair/authority.crt")
        assert far.getresponse().read() == (tmp_path / "tls" / "authority.pem").read_bytes()
        far.request("GET", "/api/jobs")
        answer = far.getresponse()
        answer.read()
        assert answer.status == 401
        far.close()
        near = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
        near.request("GET", opening)
        answer = near.getresponse()
        answer.read()
        assert answer.status == 303
        assert "Secure" not in answer.getheader("set-cookie")
        near.close()
    finally:
        process.send_signal(signal.SIGINT)
        assert process.wait(30) == 0
        process.stdout.close()
