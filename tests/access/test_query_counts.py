"""How many queries each page costs: as the baseline file has it, and the same at 10 and at 10,000 joints.

Where a page changed on purpose, write the baseline again: WRITE_QUERY_COUNTS=1 pytest tests/access/test_query_counts.py
"""

import csv
import os
from pathlib import Path
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from records.models.job import ROLES
from tests.access.sized import PAGES, people_on, sized_job
from tests.access.table import MAY, ROUTES
from tests.access.test_matrix import BACKEND
from tests.access.test_matrix import Route as RouteOfSite

BASELINE = Path(__file__).with_name("query_counts.csv")


def cost(route: RouteOfSite, client: Client, values: dict[str, Any]) -> int:
    route.ask(client, "GET", values)
    with CaptureQueriesContext(
        connection,
    ) as queries:
        response = route.ask(client, "GET", values)
    assert response.status_code == 200, (route.name, response.status_code)
    return len(queries)


def baseline() -> dict[str, int]:
    with BASELINE.open(newline="") as file:
        return {row["page"]: int(row["queries"]) for row in csv.DictReader(file)}


def write_baseline(counts: dict[str, int]) -> None:
    with BASELINE.open("w", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(["page", "queries"])
        writer.writerows(sorted(counts.items()))


@pytest.mark.django_db
def test_each_page_costs_what_the_baseline_says_at_10_and_at_10_000_joints(settings: Any, tmp_path: Any) -> None:
    settings.MEDIA_ROOT = tmp_path
    (small_job, small), (large_job, large) = sized_job(10), sized_job(10_000)
    people = people_on(small_job, large_job)
    counts, grown = {}, []
    for route in PAGES:
        verb = ROUTES[route.name]["GET"]
        roles = (
            ROLES if route.name == "job" else ("administrator" if MAY.get(verb) == {"administrator"} else "engineer",)
        )
        for role in roles:
            client = Client()
            client.force_login(people[role], backend=BACKEND)
            page = f"{route.name} as {role}"
            counts[page], at_10_000 = cost(route, client, small), cost(route, client, large)
            if counts[page] != at_10_000:
                grown.append(f"{page}: {counts[page]} queries at 10 joints, {at_10_000} at 10,000")
    assert grown == []
    if os.environ.get("WRITE_QUERY_COUNTS"):
        write_baseline(counts)
    assert counts == baseline()
