"""Why something was not done: named errors with a full sentence, turned into a page or problem+json at the edge."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Self


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong with one field: what is wrong, and what is accepted."""

    field: str
    message: str
    accepted: str = ""


class Refusal(Exception):
    """Something that can't be done, in a sentence that the person can act on.

    status  the HTTP status that says the same
    faults  the fields at fault, empty where the whole is
    """

    status = 422
    title = "That can't be done"

    def __init__(self, message: str, faults: Sequence[Fault] = ()) -> None:
        super().__init__(message)
        self.message = message
        self.faults = tuple(faults)


class NotAllowed(Refusal):
    """The person's role does not include the deed."""

    status = 403
    title = "Not allowed"


class NotTheirs(Refusal):
    """A record that names somebody else than who is signed in, or nobody is."""

    status = 401
    title = "Sign in again"


class NotThere(Refusal):
    """Something that is asked for by a name that nothing has."""

    status = 404
    title = "Not here"


class RecordClash(Refusal):
    """An identity or a place that is taken by other content."""

    status = 409
    title = "Already recorded differently"


class Implausible(Refusal):
    """A value that can't be."""

    title = "A value can't be right"

    @classmethod
    def of(cls, *faults: Fault) -> Self:
        """The refusal that says each of some faults once."""
        return cls(" ".join(dict.fromkeys(fault.message for fault in faults)), faults)


class Busy(Refusal):
    """Others held what was needed for too long; the same may succeed in a minute."""

    status = 503
    title = "Busy"


class NotReleasable(Refusal):
    """Findings stop the release."""

    title = "Not ready for release"


class NotQualified(Refusal):
    """The welder may not make this joint, and nobody wrote why they should all the same."""

    title = "Not qualified for this joint"
