"""The example of the documents runs as it stands, over requests that the site itself answers."""

import importlib.util
import io
import urllib.request
import urllib.response
from collections.abc import Iterator
from email.message import Message
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client

from records.models import FillerLot, Joint, Pass, Stamp, User
from tests.builders import days_ago
from weldtrack.account import tokens

EXAMPLE = Path(__file__).resolve().parents[2] / "docs" / "log_a_shift.py"
HEAD = "drawing,sheet,joint,order,pass,stamp,process,filler_lot,amps,date,time"


class ToTheSite(urllib.request.HTTPHandler):
    """The wire between the example and the site of this test."""

    def http_open(self, request: urllib.request.Request) -> Any:
        sent: Any = request.data or b""
        headers = {name.lower(): value for name, value in request.header_items()}
        answer = Client(headers={"authorization": headers["authorization"]}).generic(
            request.get_method(), request.selector, sent, content_type=headers["content-type"]
        )
        told = Message()
        told["Content-Type"] = answer["Content-Type"]
        response: Any = urllib.response.addinfourl(
            io.BytesIO(answer.content), told, request.full_url, answer.status_code
        )
        response.msg = answer.reason_phrase
        return response


@pytest.fixture
def example() -> Iterator[Any]:
    before = urllib.request.build_opener()
    urllib.request.install_opener(urllib.request.build_opener(ToTheSite))
    spec = importlib.util.spec_from_file_location("log_a_shift", EXAMPLE)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    yield module
    urllib.request.install_opener(before)


@pytest.fixture
def token(foreman: User, monkeypatch: pytest.MonkeyPatch) -> None:
    _, secret = tokens.make(uuid4(), user=foreman, name="t", may_write=True, job=None, has_second_factor=False)
    monkeypatch.setenv("SPOOLBOOK_TOKEN", secret)


def test_logs_a_shift_once_however_often_it_is_sent(
    example: Any, token: None, joint: Joint, stamp: Stamp, filler_lot: FillerLot, tmp_path: Path, capsys: Any
) -> None:
    rows, day = tmp_path / "shift.csv", days_ago(0)
    rows.write_text(
        f"{HEAD}\nISO-1101,1,14,1,root,A1,GTAW,F-2209,112.5,{day},\nISO-1101,1,14,2,cap,A1,GTAW,F-2209,,{day},\n"
    )
    for _ in range(2):
        assert example.main("http://testserver", "HW-7", str(rows)) == 0
        assert capsys.readouterr().out == "2 passes are on record.\n"
    assert list(Pass.objects.order_by("order").values_list("role", "amps")) == [("root", 112.5), ("cap", None)]


def test_says_what_is_refused_and_what_is_accepted(
    example: Any, token: None, joint: Joint, stamp: Stamp, filler_lot: FillerLot, tmp_path: Path, capsys: Any
) -> None:
    rows = tmp_path / "shift.csv"
    rows.write_text(f"{HEAD}\nISO-1101,1,14,3,cap,A1,GTAW,F-2209,1500,{days_ago(0)},\n")
    assert example.main("http://testserver", "HW-7", str(rows)) == 1
    assert "amps: Amps of 1500 A can't be. Accepted: 1 to 1400 A" in capsys.readouterr().err
    assert not Pass.objects.exists()
