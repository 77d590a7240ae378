"""One call against a real receiver: what is sent, and how little a receiver can do to the site."""

import socket
import ssl
import time
from datetime import UTC, datetime, timedelta
from ipaddress import ip_address
from pathlib import Path
from typing import Any

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec

from office.calling import post as calls
from office.calling.post import post
from tests.office.calling.receiver import Receiver, receiving


def test_sends_the_very_bytes(receiver: Receiver) -> None:
    body = '{"heat":"K 4711 – ü"}'.encode()
    outcome = post(receiver.url, body, {"webhook-id": "1", "Content-Type": "application/json"})
    assert (outcome.status, outcome.error, outcome.is_good) == (204, "", True)
    [(path, heads, got)] = receiver.got
    assert (path, got, heads["webhook-id"]) == ("/spoolbook?x=1", body, "1")
    assert heads["host"].startswith("localhost:")


def test_the_sites_own_door_does_not_let_it_in_here() -> None:
    with receiving() as receiver:
        for url in (receiver.url, receiver.url.replace("http:", "https:").replace("localhost", "127.0.0.1")):
            outcome = post(url, b"{}", {})
            assert outcome.status is None and not outcome.is_good, url
        assert receiver.got == []


@pytest.mark.parametrize("status", [301, 302, 307, 308])
def test_a_redirect_is_not_followed(receiver: Receiver, status: int) -> None:
    with receiving() as elsewhere:
        receiver.status, receiver.location = status, elsewhere.url
        outcome = post(receiver.url, b"{}", {})
        assert outcome.status == status and not outcome.is_good
        assert "redirects are not followed" in outcome.error
        assert elsewhere.got == []


@pytest.mark.parametrize("status", [400, 401, 404, 410, 429, 500, 503])
def test_any_other_answer_is_a_failure(receiver: Receiver, status: int) -> None:
    receiver.status = status
    outcome = post(receiver.url, b"{}", {})
    assert (outcome.status, outcome.error, outcome.is_good) == (status, f"Answered {status}.", False)


def test_an_answer_with_endless_heads_is_broken_off(receiver: Receiver) -> None:
    receiver.padding = 60
    outcome = post(receiver.url, b"{}", {})
    assert outcome.status is None and "too long" in outcome.error


def test_a_receiver_that_drips_is_left_after_the_time_limit(
    receiver: Receiver, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(calls, "TOTAL_SECONDS", 0.6)
    receiver.drip = 0.1
    started = time.monotonic()
    outcome = post(receiver.url, b"{}", {})
    assert (outcome.status, outcome.error) == (None, "No answer in time.")
    assert time.monotonic() - started < 3


def test_nobody_there_is_told(receiver: Receiver) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        outcome = post(f"http://localhost:{taken.getsockname()[1]}/", b"{}", {})
    assert outcome.status is None and "refused" in outcome.error


def test_connects_to_the_address_that_was_judged_though_the_name_leads_elsewhere_a_moment_later(
    receiver: Receiver, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = []

    def changing(host: Any, port: Any, *_args: Any, **_options: Any) -> list[Any]:
        asked.append(host)
        # The first answer is the judged one; whoever asks again would be led to where nobody listens.
        ip = host if _is_ip(host) else "127.0.0.1" if len(asked) == 1 else "127.66.66.66"
        return [(socket.AF_INET, socket.SOCK_STREAM, 6, "", (ip, port))]

    monkeypatch.setattr(socket, "getaddrinfo", changing)
    assert post(receiver.url, b"{}", {}).status == 204
    assert [host for host in asked if not _is_ip(host)] == ["localhost"]


def _is_ip(host: str) -> bool:
    try:
        return bool(ip_address(host))
    except ValueError:
        return False


@pytest.fixture
def tls(tmp_path: Path) -> tuple[ssl.SSLContext, Path]:
    """A server's side of TLS for the name localhost, and the certificate that a client would have to trust."""
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, "localhost")])
    now = datetime.now(UTC)
    certificate = (
        x509.CertificateBuilder().subject_name(name).issuer_name(name).public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(days=1)).not_valid_after(now + timedelta(days=1))
        .add_extension(x509.SubjectAlternativeName([x509.DNSName("localhost")]), critical=False)
        .add_extension(x509.BasicConstraints(ca=True, path_length=None), critical=True)
        .sign(key, hashes.SHA256())
    )  # fmt: skip
    chain, secret = tmp_path / "chain.pem", tmp_path / "key.pem"
    chain.write_bytes(certificate.public_bytes(serialization.Encoding.PEM))
    plain, form = serialization.NoEncryption(), serialization.PrivateFormat.PKCS8
    secret.write_bytes(key.private_bytes(serialization.Encoding.PEM, form, plain))
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(chain, secret)
    return context, chain


def test_tls_is_checked_against_the_name_and_not_the_number(
    door: None, tls: tuple[ssl.SSLContext, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    with receiving(tls[0]) as receiver:
        untrusted = post(receiver.url, b"{}", {})
        assert untrusted.status is None and untrusted.error.startswith("TLS: CERTIFICATE_VERIFY_FAILED")
        assert receiver.got == []
        monkeypatch.setenv("SSL_CERT_FILE", str(tls[1]))
        assert post(receiver.url, b"{}", {}).status == 204
        # The same receiver under a name that its certificate does not have.
        assert post(receiver.url.replace("localhost", "127.0.0.1"), b"{}", {}).status is None
        assert len(receiver.got) == 1
