"""A request that says it brings too much is not read."""

import re
from pathlib import Path

import pytest
from django.conf import settings
from django.test import Client

pytestmark = pytest.mark.django_db


def test_a_body_of_more_than_100_mb_is_refused_before_it_is_read(client: Client) -> None:
    answer = client.generic("POST", "/sign-in/", b"x", CONTENT_LENGTH=str(100 * 1024 * 1024 + 1))
    assert answer.status_code == 413
    assert "at most 100 MB" in answer.text


def test_a_body_of_100_mb_is_left_to_the_page(client: Client) -> None:
    assert client.generic("GET", "/sign-in/", b"", CONTENT_LENGTH=str(100 * 1024 * 1024)).status_code == 200


@pytest.mark.parametrize("said", ["", "many", "-1"])
def test_a_length_that_is_none_is_left_to_the_server(client: Client, said: str) -> None:
    assert client.generic("GET", "/sign-in/", b"", CONTENT_LENGTH=said).status_code == 200


def test_the_proxy_lets_through_what_the_site_takes() -> None:
    # The proxy counts a megabyte as a million bytes, and answers without a sentence.
    caddyfile = (Path(settings.BASE_DIR) / "Caddyfile").read_text()
    (most,) = re.findall(r"max_size (\d+)MB", caddyfile)
    assert int(most) * 1_000_000 > settings.BODY_MAX_BYTES
