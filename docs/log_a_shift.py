"""Log a shift's passes from a file of rows: an example of the web API that needs nothing but Python.

    SPOOLBOOK_TOKEN=spb_... python docs/log_a_shift.py https://spoolbook.example HW-7 shift.csv

The file has the columns drawing, sheet, joint, order, pass, stamp, process, filler_lot, amps, date, time. Sent twice,
it records once: the id of each pass follows from the row, and the site stores an id once.
"""

import csv
import json
import os
import sys
import urllib.error
import urllib.parse
import urllib.request
import uuid
from collections.abc import Iterator
from typing import Any

# Any fixed UUID of your own: the ids of your rows are made from it.
OURS = uuid.UUID("6f1c2a94-3d57-4b0e-9a41-c27d5e8b6a13")
MOST = 1_000


def ask(address: str, token: str, body: Any = None) -> Any:
    """GET an address, or POST a body to it, and return the JSON of the answer."""
    sent = None if body is None else json.dumps(body).encode()
    headers = {"Authorization": f"Bearer {token}", "Content-Type": "application/json"}
    with urllib.request.urlopen(urllib.request.Request(address, sent, headers)) as answer:
        return json.load(answer)


def rows_of(address: str, token: str) -> Iterator[dict[str, Any]]:
    """Walk a list page by page."""
    following: str | None = address
    while following:
        page = ask(following, token)
        yield from page["results"]
        following = page["next"]


def draft(row: dict[str, str], joints: dict[tuple[str, str, str], str]) -> dict[str, Any]:
    """One row of the file as the API takes it; what is empty is left out."""
    joint = row["drawing"], row["sheet"], row["joint"]
    key = "|".join(row[name] for name in sorted(row))
    said: dict[str, Any] = {"id": str(uuid.uuid5(OURS, key)), "joint_id": joints[joint], "order": int(row["order"])}
    said |= {name: row[name] for name in ("pass", "stamp", "process", "filler_lot", "date", "time") if row.get(name)}
    return said | ({"amps": float(row["amps"])} if row.get("amps") else {})


def main(site: str, job: str, file: str) -> int:
    """Send every row; on a refusal say which field is at fault and what is accepted."""
    token = os.environ["SPOOLBOOK_TOKEN"]
    asked = urllib.parse.urlencode({"job": job, "limit": 500})
    joints = {
        (one["drawing"], one["sheet"], one["joint"]): one["id"] for one in rows_of(f"{site}/api/joints/?{asked}", token)
    }
    with open(file, newline="") as rows:
        passes = [draft(row, joints) for row in csv.DictReader(rows)]
    try:
        for start in range(0, len(passes), MOST):
            ask(f"{site}/api/passes/?{urllib.parse.urlencode({'job': job})}", token, passes[start : start + MOST])
    except urllib.error.HTTPError as refused:
        problem = json.load(refused)
        print(problem["detail"], file=sys.stderr)
        for one in problem["errors"]:
            print(f"  {one['field']}: {one['message']} Accepted: {one['accepted']}", file=sys.stderr)
        return 1
    print(f"{len(passes)} passes are on record.")
    return 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
