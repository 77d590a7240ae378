"""The next step of a joint: its words, and the page where this person can take it."""

from dataclasses import dataclass
from functools import cached_property
from uuid import UUID

from django.urls import reverse

from records.models import Job

ANY = UUID(int=0)
# What each step needs, and where it is taken.
ROUTES = {
    "assign": ("assign", "joint-assign"),
    "fit up": ("record fit-up", "fit-up-record"),
    "weld": ("record pass", "pass-record"),
    "decide repair": ("decide repair", "repair-decide"),
    "release": ("release", "joint-release"),
}
EXAMINE = "examine "
METHOD = "METHOD"


@dataclass(frozen=True, slots=True)
class Step:
    """What comes next at a joint; `address` is empty where this person can't do it."""

    words: str
    address: str


class Steps:
    """Addresses of joints and their next steps for one person on one job, worked out once a page, not once a row."""

    def __init__(self, job: Job, verbs: frozenset[str]) -> None:
        self.job = job
        self.verbs = verbs

    @cached_property
    def _card(self) -> str:
        return reverse("joint", args=[self.job.code, ANY])

    @cached_property
    def _forms(self) -> dict[str, str]:
        found = {
            step: reverse(route, args=[self.job.code, ANY])
            for step, (verb, route) in ROUTES.items()
            if verb in self.verbs
        }
        if "examine" in self.verbs:
            found[EXAMINE] = reverse("examination-record", args=[self.job.code, ANY, METHOD])
        return found

    def card(self, joint: UUID) -> str:
        """Return the address of a joint's card."""
        return self._card.replace(str(ANY), str(joint))

    def next(self, joint: UUID, next_step: str, assigned: str) -> Step:
        """Return the next step of a joint; a foreman's is to assign somebody where nobody is."""
        if not assigned and next_step in ("fit up", "weld") and "assign" in self._forms:
            next_step = "assign"
        if next_step in ("", "nothing"):
            return Step("–", "")
        form, method = next_step, ""
        if next_step.startswith(EXAMINE):
            form, method = EXAMINE, next_step.removeprefix(EXAMINE)
        address = self._forms.get(form, "").replace(str(ANY), str(joint)).replace(METHOD, method)
        return Step(next_step, address)
