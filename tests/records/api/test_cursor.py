"""Walking a resource by its cursor, while others write."""

from typing import Any
from uuid import uuid4

import pytest
from django.test import Client

from records.models import Heat, Job, Joint, JournalEntry, User
from records.models.base import new_id
from tests.builders import HeatBuilder, JointBuilder
from tests.conftest import SignIn


def heats(job: Job, count: int, *, new: Any = new_id) -> list[str]:
    rows = [Heat(id=new(), job=job, number=f"K{uuid4().hex[:10]}", material="A106 Gr B") for _ in range(count)]
    Heat.objects.bulk_create(rows)
    return [str(row.id) for row in rows]


def walk(client: Client, address: str, between: Any = lambda: None) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = []
    following: str | None = address
    while following:
        page = client.get(following).json()
        found += page["results"]
        following = page["next"]
        between()
    return found


def joints(job: Job, count: int, *, new: Any = new_id) -> list[str]:
    one = Joint.objects.filter(job=job).first() or JointBuilder(sheet__line__job=job)
    like = {column.attname: getattr(one, column.attname) for column in Joint._meta.concrete_fields}
    rows = [Joint(**like | {"id": new(), "number": uuid4().hex[:10]}) for _ in range(count)]
    Joint.objects.bulk_create(rows)
    return [str(row.id) for row in rows]


# What is walked, with the field that says which row it is, and what makes more of it.
WALKED = {"heats": ("id", heats), "joints": ("id", joints), "attempts": ("joint_id", joints)}


@pytest.mark.parametrize("path", WALKED)
@pytest.mark.parametrize("new", [new_id, uuid4], ids=["ids that grow", "ids anywhere"])
def test_sees_each_lasting_row_exactly_once_during_a_thousand_inserts(
    job: Job, foreman: User, sign_in: SignIn, new: Any, path: str
) -> None:
    name, more = WALKED[path]
    lasting = more(job, 300, new=new)
    batches = iter(range(10))
    seen = walk(
        sign_in(foreman),
        f"/api/{path}/?job=HW-7&limit=20",
        lambda: more(job, 100, new=new) if next(batches, None) is not None else None,
    )
    assert next(batches, None) is None, "a thousand came while it was walked"
    ids = [row[name] for row in seen]
    assert len(ids) == len(set(ids))
    assert set(lasting) <= set(ids)


def test_goes_on_where_the_row_of_the_cursor_is_gone(job: Job, foreman: User, sign_in: SignIn) -> None:
    heats(job, 3)
    client = sign_in(foreman)
    page = client.get("/api/heats/?limit=1").json()
    Heat.objects.filter(id=page["results"][0]["id"]).delete()
    rest = walk(client, page["next"])
    assert {row["id"] for row in rest} == {str(key) for key in Heat.objects.values_list("id", flat=True)}


def test_walks_the_journal_by_number(job: Job, foreman: User, sign_in: SignIn) -> None:
    for _ in range(5):
        HeatBuilder(job=job)
    stored = JournalEntry.objects.filter(job=job).count()
    numbers = [row["number"] for row in walk(sign_in(foreman), "/api/journal/?job=HW-7&limit=1")]
    assert numbers == list(range(1, stored + 1))


@pytest.mark.parametrize(
    ("query", "field"),
    [
        ("cursor=x", "cursor"),
        ("cursor=W10", "cursor"),
        ("cursor=WzFd", "cursor"),
        ("cursor=%C3%A9", "cursor"),
        ("cursor=WyJ4Il0", "cursor"),
        ("limit=0", "limit"),
        ("limit=501", "limit"),
        ("limit=%C2%B2", "limit"),
        ("jobb=HW-7", "jobb"),
    ],
)
def test_says_what_of_an_address_cannot_be_read(
    job: Job, foreman: User, sign_in: SignIn, query: str, field: str
) -> None:
    answer = sign_in(foreman).get(f"/api/heats/?{query}")
    assert answer.status_code == 422
    assert [one["field"] for one in answer.json()["errors"]] == [field]
    assert answer.json()["errors"][0]["accepted"]
