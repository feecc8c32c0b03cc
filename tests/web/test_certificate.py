"""The certificate that --lan makes for itself."""

import ipaddress
from datetime import UTC, datetime, timedelta

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import ec

from pathproof.web.serving.certificate import kept_certificate

NOW = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
NAMES = ["192.0.2.7", "office-pc", "localhost"]


def test_it_speaks_for_every_name_for_a_year(tmp_path):
    kept = kept_certificate(tmp_path, NAMES, NOW)
    read = x509.load_pem_x509_certificate(kept.path.read_bytes())
    names = read.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    assert names.get_values_for_type(x509.DNSName) == ["office-pc", "localhost"]
    assert names.get_values_for_type(x509.IPAddress) == [ipaddress.ip_address("192.0.2.7")]
    assert kept.ends == NOW + timedelta(days=365)
    assert isinstance(read.public_key().curve, ec.SECP256R1)
    assert kept.key_path.stat().st_mode & 0o777 == 0o600


def test_it_is_kept_while_it_will_do(tmp_path):
    first = kept_certificate(tmp_path, NAMES, NOW)
    assert kept_certificate(tmp_path, NAMES[1:], NOW + timedelta(days=300)) == first


@pytest.mark.parametrize(
    ("names", "days"),
    [(NAMES, 340), (NAMES, 400), (NAMES, -2), ([*NAMES, "192.0.2.8"], 1)],
    ids=["ends soon", "ended", "not valid yet", "another address"],
)
def test_it_is_made_anew_where_it_would_not_do(names, days, tmp_path):
    first = kept_certificate(tmp_path, NAMES, NOW)
    now = NOW + timedelta(days=days)
    again = kept_certificate(tmp_path, names, now)
    assert again.fingerprint != first.fingerprint
    assert again.ends == now + timedelta(days=365)
    assert again.key_path.stat().st_mode & 0o777 == 0o600


@pytest.mark.parametrize("name", ["lan.crt", "lan.key"])
def test_a_damaged_file_is_replaced(name, tmp_path):
    first = kept_certificate(tmp_path, NAMES, NOW)
    (tmp_path / name).write_text("cut off")
    assert kept_certificate(tmp_path, NAMES, NOW).fingerprint != first.fingerprint
