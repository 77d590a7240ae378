"""Who may do what: one table of verbs and roles, per job."""

from uuid import UUID

from django.db.models import QuerySet

from records.gathering import gathered
from records.models import Job, Membership, User
from records.models.job import ROLES
from records.refusals import NotAllowed
from records.site_account import USERNAME

EVERYBODY = frozenset(ROLES)
ALLOWED: dict[str, frozenset[str]] = {
    "read": EVERYBODY,
    "assign": frozenset({"foreman", "engineer"}),
    "record fit-up": frozenset({"welder", "foreman", "inspector", "engineer"}),
    "record pass": frozenset({"welder", "foreman", "engineer"}),
    "examine": frozenset({"inspector", "engineer"}),
    "choose samples": frozenset({"inspector", "engineer"}),
    "decide repair": frozenset({"inspector", "engineer"}),
    "release": frozenset({"inspector", "engineer"}),
    "override": frozenset({"inspector", "engineer"}),
    "notify owner": frozenset({"foreman", "inspector", "engineer", "owner"}),
    "attend": frozenset({"owner"}),
    "confirm": frozenset({"engineer"}),
    "withdraw": frozenset({"foreman", "inspector", "engineer"}),
    "record piece": frozenset({"welder", "foreman", "inspector", "engineer"}),
    "lift hold": frozenset({"inspector", "engineer"}),
    "record spool": frozenset({"welder", "foreman", "inspector", "engineer"}),
    "issue filler": frozenset({"welder", "foreman", "inspector", "engineer"}),
    "plan": frozenset({"engineer", "administrator"}),
    "mark drawing": frozenset({"foreman", "engineer"}),
    "undo import": frozenset({"engineer"}),
    "build package": frozenset({"inspector", "engineer", "administrator"}),
    "send events": frozenset({"engineer", "administrator"}),
    "manage people": frozenset({"administrator"}),
}
_SENTENCE = {
    "read": "see this job",
    "record fit-up": "record a fit-up",
    "record pass": "record a pass",
    "examine": "record an examination",
    "choose samples": "choose samples",
    "decide repair": "decide a repair",
    "assign": "assign a welder",
    "release": "release a joint",
    "override": "override a finding",
    "notify owner": "record that the owner's inspector was told",
    "attend": "attend or waive a point for the owner",
    "confirm": "confirm a table",
    "withdraw": "withdraw a record",
    "record piece": "record what happens to a piece",
    "lift hold": "take a piece off hold",
    "record spool": "record a step of a spool",
    "issue filler": "issue filler or take it back",
    "plan": "change the plan of the job",
    "mark drawing": "change a drawing or its marks",
    "undo import": "take an import back",
    "build package": "build a package",
    "send events": "tell programs what happens",
    "manage people": "change people and roles",
}


def roles_of(user: User, job: Job) -> frozenset[str]:
    """Return the roles a person holds on a job; one query."""
    if not user.is_authenticated or not user.is_active:
        return frozenset()
    return frozenset(Membership.objects.filter(user=user, job=job, is_held=True).values_list("role", flat=True))


def jobs_with_roles(user: User) -> list[tuple[Job, frozenset[str]]]:
    """Return each job that a person is on, with the roles they hold there; one query."""
    if not user.is_authenticated or not user.is_active:
        return []
    jobs: dict[UUID, tuple[Job, set[str]]] = {}
    for one in Membership.objects.filter(user=user, is_held=True).select_related("job"):
        jobs.setdefault(one.job_id, (one.job, set()))[1].add(one.role)
    return [(job, frozenset(roles)) for job, roles in jobs.values()]


def job_with_roles(user: User, code: str) -> tuple[Job, frozenset[str]] | None:
    """Return a job by its code with the roles that a person holds on it, None where they hold none; one query."""
    # A zero sign is in no code, and PostgreSQL can't even look for one.
    if not user.is_authenticated or not user.is_active or "\x00" in code:
        return None
    held = list(Membership.objects.filter(user=user, job__code=code, is_held=True).select_related("job"))
    return (held[0].job, frozenset(one.role for one in held)) if held else None


def verbs_of(roles: frozenset[str]) -> frozenset[str]:
    """Return everything that somebody with these roles may do."""
    return frozenset(verb for verb, allowed in ALLOWED.items() if allowed & roles)


def may(user: User, job: Job, verb: str) -> bool:
    """Say whether a person may do `verb` on a job. Raises KeyError for a verb that the table lacks."""
    return bool(ALLOWED[verb] & roles_of(user, job))


def require(user: User, job: Job, verb: str) -> None:
    """Raise NotAllowed with the roles that may, unless the person may do `verb` on the job."""
    batch, person = gathered(), (user.pk, job.pk)
    roles = batch.roles.get(person) if batch is not None else None
    if roles is None:
        roles = roles_of(user, job)
    if not ALLOWED[verb] & roles:
        raise NotAllowed(f"Your role on {job.code} may not {_SENTENCE[verb]}; {words(ALLOWED[verb])} may.")
    if batch is not None:
        batch.roles[person] = roles


def require_sign_in_of(user: User, person: User) -> None:
    """Raise NotAllowed unless somebody manages the people of every job that another person is on; two queries.

    Else an administrator of one job could come into another in that person's name. One's own sign-in is changed under
    one's own name, where the password is asked once more.
    """
    if person.pk == user.pk:
        raise NotAllowed("Your own sign-in is changed under your name, at the top of each page.")
    if person.username == USERNAME:
        raise NotAllowed("This is the site’s own account; nobody signs in with it.")
    on = Membership.objects.filter(is_held=True)
    managed = on.filter(user=user, role__in=ALLOWED["manage people"]).values_list("job_id")
    if not set(on.filter(user=person).values_list("job_id")) <= set(managed):
        raise NotAllowed(
            f"{person.get_username()} is also on a job whose people you don’t manage; an administrator of all those"
            " jobs can do it, or whoever runs the site."
        )


def words(roles: frozenset[str]) -> str:
    """List roles as a sentence has them: "foreman or engineer"."""
    ordered = [role for role in ROLES if role in roles]
    return ordered[0] if len(ordered) == 1 else f"{', '.join(ordered[:-1])} or {ordered[-1]}"


def jobs_of(user: User) -> QuerySet[Job]:
    """Return the jobs that a person may see; whatever is not among them does not exist for that person."""
    if not user.is_authenticated or not user.is_active:
        return Job.objects.none()
    return Job.objects.filter(memberships__user=user, memberships__is_held=True).distinct().order_by("code")
