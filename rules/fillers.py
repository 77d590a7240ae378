"""Which processes a filler metal is made for, as the letters of its AWS classification say."""

import re

from rules.compare import folded

# The first form that fits counts. Sources, all from memory: AWS A5.9, A5.14, A5.18, A5.28 (bare rod and wire, ER;
# cored, EC and C), A5.20, A5.22, A5.29 (flux-cored, T), A5.30 (inserts, IN), A5.17, A5.23 (submerged arc, F, EL, EM,
# EH), A5.1, A5.4, A5.5, A5.11 (covered electrodes, E).
_FORMS: tuple[tuple[str, tuple[str, ...]], ...] = (
    (r"er", ("GTAW", "GMAW", "PAW", "SAW")),
    (r"in", ("GTAW",)),
    (r"ec\d|e\d+c", ("GMAW",)),
    (r"e\d+[a-z]*t\d|e\d+t", ("FCAW",)),
    (r"f\d|e[lmh]\d", ("SAW",)),
    (r"e", ("SMAW",)),
)


def processes_of(classification: str) -> frozenset[str]:
    """The processes by which filler of a classification is welded; empty for one that names itself otherwise.

    Source  AWS A5.1 to A5.30, how they classify filler metals (from memory)
    """
    wanted = folded(classification)
    return frozenset(next((processes for form, processes in _FORMS if re.match(form, wanted)), ()))
