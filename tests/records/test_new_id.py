"""Identities grow with every call, in one thread or several, and are of version 7 (RFC 9562)."""

from concurrent.futures import ThreadPoolExecutor

from records.models.base import new_id, new_ids


def test_each_is_greater_than_the_one_before() -> None:
    made = [new_id() for _ in range(20_000)]
    assert made == sorted(made)
    assert len(set(made)) == len(made)
    assert {(one.version, one.variant) for one in made} == {(7, "specified in RFC 4122")}


def test_threads_never_make_the_same() -> None:
    with ThreadPoolExecutor(4) as pool:
        made = [one for some in pool.map(lambda _: [new_id() for _ in range(2_000)], range(4)) for one in some]
    assert len(set(made)) == len(made)


def test_many_made_at_once_stand_between_those_made_before_and_after() -> None:
    before, made, after = new_id(), new_ids(20_000), new_id()
    assert [before, *made, after] == sorted({before, *made, after})
    assert {(one.version, one.variant) for one in made} == {(7, "specified in RFC 4122")}


def test_none_asked_for_none_made() -> None:
    assert new_ids(0) == []
