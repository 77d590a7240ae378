"""A request that says it brings too much is not read."""

import pytest
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
