"""The certificate that the app makes for itself, so that phones reach it over TLS."""

import ipaddress
import os
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Final

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from pathproof.job import write_atomically

VALID_FOR: Final = timedelta(days=365)
RENEWED_BEFORE_END: Final = timedelta(days=30)
_BACKDATED: Final = timedelta(hours=1)
"""For phones whose clock is a little slow."""


@dataclass(frozen=True, kw_only=True)
class Certificate:
    """Where certificate and key lie, and how people tell that it is this one."""

    path: Path
    key_path: Path
    fingerprint: str
    """SHA-256 in pairs of hexadecimal digits."""
    ends: datetime


def kept_certificate(folder: Path, names: Sequence[str], now: datetime) -> Certificate:
    """The certificate in the folder for these names; made anew where it would not do.

    Parameters
    ----------
    folder : Path
        Where `lan.crt` and `lan.key` are kept.
    names : sequence of str
        Host names and addresses that it has to speak for.
    now : datetime
        With an offset.
    """
    path, key_path = folder / "lan.crt", folder / "lan.key"
    kept = _usable(path, key_path, names, now)
    if kept is None:
        key = ec.generate_private_key(ec.SECP256R1())
        kept = _made(key, names, now)
        _write_key(key_path, key)
        write_atomically(path, kept.public_bytes(serialization.Encoding.PEM))
    return Certificate(
        path=path,
        key_path=key_path,
        fingerprint=kept.fingerprint(hashes.SHA256()).hex(":").upper(),
        ends=kept.not_valid_after_utc,
    )


def _usable(
    path: Path, key_path: Path, names: Sequence[str], now: datetime
) -> x509.Certificate | None:
    """The certificate that is there, if it is whole, speaks for all names and does not end soon."""
    try:
        kept = x509.load_pem_x509_certificate(path.read_bytes())
        key = serialization.load_pem_private_key(key_path.read_bytes(), None)
    except (FileNotFoundError, ValueError):
        return None
    key_path.chmod(0o600)
    spoken_for = kept.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    good = (
        key.public_key() == kept.public_key()
        and set(_alternatives(names)) <= set(spoken_for)
        and kept.not_valid_before_utc <= now
        and now < kept.not_valid_after_utc - RENEWED_BEFORE_END
    )
    return kept if good else None


def _made(key: ec.EllipticCurvePrivateKey, names: Sequence[str], now: datetime) -> x509.Certificate:
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Pathproof on this network")])
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - _BACKDATED)
        .not_valid_after(now + VALID_FOR)
        .add_extension(x509.SubjectAlternativeName(_alternatives(names)), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .sign(key, hashes.SHA256())
    )


def _alternatives(names: Sequence[str]) -> list[x509.GeneralName]:
    found: list[x509.GeneralName] = []
    for name in names:
        try:
            found.append(x509.IPAddress(ipaddress.ip_address(name)))
        except ValueError:
            found.append(x509.DNSName(name))
    return found


def _write_key(path: Path, key: ec.EllipticCurvePrivateKey) -> None:
    """The key, in a file that nobody else could read at any time."""
    path.unlink(missing_ok=True)
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "wb") as file:
        file.write(
            key.private_bytes(
                serialization.Encoding.PEM,
                serialization.PrivateFormat.PKCS8,
                serialization.NoEncryption(),
            )
        )
