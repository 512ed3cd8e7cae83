"""An authority of the firm's own, so that phones on its network talk to the server by https and work without signal.

Browsers keep pages for later only over a connection that they trust. The authority is made once in the data folder;
a phone is told once to trust it. It can vouch for addresses of private networks, names that end in .local, and the
address that this machine had when it was made; for servers alone, and for no other authority.
"""

from __future__ import annotations

import contextlib
import ipaddress
import os
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from palewright.record import Record

__all__ = ["Pem", "certified", "fingerprint"]

_PRIVATE = ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "127.0.0.0/8")
_YEARS = timedelta(days=3650)
_SERVER = timedelta(days=397)
_RENEW = timedelta(days=30)
_FIRST = datetime(2026, 1, 1, tzinfo=UTC)


class Pem(Record):
    """Files of a certificate, its private key, and the authority that signed it, None where that is another's."""

    cert: Path
    key: Path
    authority: Path | None = None


def certified(folder: Path, names: Sequence[str]) -> Pem:
    """A certificate for this machine, made or renewed where needed.

    folder
        of the data; what is made stands in its folder ``tls``, readable by its owner alone.
    names
        addresses and host names that the certificate must be good for.
    """
    home = folder / "tls"
    home.mkdir(mode=0o700, parents=True, exist_ok=True)
    found = Pem(home / "server.pem", home / "server.key", home / "authority.pem")
    now = datetime.now(UTC)
    if not _covers(_whole(home, "authority", now), names):
        found.cert.unlink(missing_ok=True)
        _authority(home, names, now)
    if not _good_for(_whole(home, "server", now), names):
        _server(home, names, now)
    return found


def fingerprint(path: Path) -> str:
    """SHA-256 of a certificate, as devices show it: pairs of hexadecimal digits with colons."""
    digest = x509.load_pem_x509_certificate(path.read_bytes()).fingerprint(hashes.SHA256())
    return ":".join(f"{byte:02X}" for byte in digest)


def _authority(home: Path, names: Sequence[str], now: datetime) -> None:
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Palewright, this network only")])
    nets = [*map(ipaddress.ip_network, _PRIVATE), *(net for net in _nets(names) if not _private(net))]
    permitted = [*map(x509.IPAddress, nets), x509.DNSName("local")]
    made = (
        _begun(name, name, key, now, _YEARS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(sign=True), critical=True)
        .add_extension(x509.NameConstraints(permitted, None), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .sign(key, hashes.SHA256())
    )
    _kept(home, "authority", made, key)


def _server(home: Path, names: Sequence[str], now: datetime) -> None:
    signer = serialization.load_pem_private_key((home / "authority.key").read_bytes(), None)
    assert isinstance(signer, ec.EllipticCurvePrivateKey)
    authority = x509.load_pem_x509_certificate((home / "authority.pem").read_bytes())
    key = ec.generate_private_key(ec.SECP256R1())
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Palewright on this network")])
    made = (
        _begun(subject, authority.subject, key, now, _SERVER)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(sign=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName([_alternative(name) for name in names]), critical=False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(signer.public_key()), critical=False)
        .sign(signer, hashes.SHA256())
    )
    _kept(home, "server", made, key)


def _begun(
    subject: x509.Name, issuer: x509.Name, key: ec.EllipticCurvePrivateKey, now: datetime, lasts: timedelta
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(days=1))
        .not_valid_after(now + lasts)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
    )


def _usage(*, sign: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not sign, content_commitment=False, key_encipherment=False, data_encipherment=False,
        key_agreement=False, key_cert_sign=sign, crl_sign=sign, encipher_only=False, decipher_only=False,
    )  # fmt: skip


def _nets(names: Sequence[str]) -> list[ipaddress.IPv4Network]:
    """The addresses among some names, each as a network of one."""
    found = []
    for name in names:
        with contextlib.suppress(ValueError):
            found.append(ipaddress.IPv4Network(name))
    return found


def _private(net: ipaddress.IPv4Network) -> bool:
    return any(net.subnet_of(ipaddress.IPv4Network(held)) for held in _PRIVATE)


def _covers(found: x509.Certificate | None, names: Sequence[str]) -> bool:
    """Whether an authority is there and may vouch for these addresses."""
    if found is None:
        return False
    held = found.extensions.get_extension_for_class(x509.NameConstraints).value.permitted_subtrees or []
    nets = [part.value for part in held if isinstance(part.value, ipaddress.IPv4Network)]
    return all(any(net.subnet_of(other) for other in nets) for net in _nets(names))


def _alternative(name: str) -> x509.GeneralName:
    try:
        return x509.IPAddress(ipaddress.ip_address(name))
    except ValueError:
        return x509.DNSName(name)


def _kept(home: Path, name: str, made: x509.Certificate, key: ec.EllipticCurvePrivateKey) -> None:
    """The key first: a certificate without its key is never seen."""
    secret = key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    for suffix, data in (("key", secret), ("pem", made.public_bytes(serialization.Encoding.PEM))):
        fresh = home / f".{name}.{suffix}.new"
        fresh.unlink(missing_ok=True)
        with open(os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        fresh.replace(home / f"{name}.{suffix}")


def _good_for(found: x509.Certificate | None, names: Sequence[str]) -> bool:
    if found is None:
        return False
    held = found.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    return {_alternative(name) for name in names} <= set(held)


def _whole(home: Path, name: str, now: datetime) -> x509.Certificate | None:
    """A certificate that is good now and for a while, with its key; None where it is to be made.

    One that was made while the clock was ahead is to be made. A clock from before there was this program is wrong:
    phones trust what is there, and it stays.
    """
    try:
        found = x509.load_pem_x509_certificate((home / f"{name}.pem").read_bytes())
        key = serialization.load_pem_private_key((home / f"{name}.key").read_bytes(), None)
    except (FileNotFoundError, ValueError):  # not there, or the power went while it was written
        return None
    in_time = now < _FIRST or (found.not_valid_before_utc <= now and now + _RENEW < found.not_valid_after_utc)
    return found if in_time and key.public_key() == found.public_key() else None
