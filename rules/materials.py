"""Base metals by name: the one spelling of each, and its P-Number."""

import re
from functools import lru_cache

from rules.facts import MaterialFacts
from rules.tables import table

_BODY = re.compile(r"\b(ASTM|ASME)\b|/SA(?=[- ]?\d)")
# By the grade of a pipe, that of what is forged and of what has butt-welding ends.
_CARBON, _COLD = ("A105", "A234 WPB"), ("A350 LF2", "A420 WPL6")
_STAINLESS = ("304", "304L", "316", "316L")
_CHROME = {"P11": "11", "P22": "22", "P5": "5", "P91": "91"}
_BESIDE = {
    **dict.fromkeys(("A53B", "A106A", "A106B"), _CARBON),
    "A106C": ("A105", "A234 WPC"),
    "A3336": _COLD,
    **{f"A335{pipe}": (f"A182 F{grade}", f"A234 WP{grade}") for pipe, grade in _CHROME.items()},
    **{f"A312TP{grade}": (f"A182 F{grade}", f"A403 WP{grade}") for grade in _STAINLESS},
}
_GRADE = re.compile(r"\bGRADE\b|\bGR\b\.?|\bCL(ASS)?\b\.?|\bTYPE\b")


# What a certificate adds to a grade: A105N is normalized, S W WX WU say how a fitting is made. Classes of F11, F22,
# WP11 and WP22 are strengths, those of LF2 impact tests at other temperatures (from memory).
_CLASS = re.compile(r"^(A350LF2|A182F(?:11|22)|A234WP(?:11|22))(?:CL)?([123])$")
_MADE = (
    re.compile(r"^(A(?:234|403|420)WP)(WX|WU|S|W)(?=\d)"),
    re.compile(r"^(A(?:234|403|420)WP[A-Z0-9]*?)(WX|WU|S|W)$"),
)
_ADDED = (_CLASS, re.compile(r"^(A105)N$"), *_MADE)


@lru_cache(maxsize=4096)
def same_name(name: str) -> str:
    """A material's name without what people write differently: `ASTM A106 Gr. B`, `SA-106 B` and `a106-b` are A106B."""
    plain = _GRADE.sub(" ", _BODY.sub(" ", name.upper()))
    plain = re.sub(r"[^A-Z0-9/]+", "", plain)
    return re.sub(r"^SA(?=\d)", "A", plain)


def is_same_material(one: str, other: str) -> bool:
    """Whether two names mean the same material; a dual grade (`TP304/304L`) is each of its grades.

    A grade that names no class, nor how it is made, is each: `A182 F11` is `A182 F11 Cl. 2`, which is not
    `A182 F11 Cl. 1`; a seamless fitting, `A403 WP304L-S`, is no welded one, `A403 WP304L-W`.
    """
    both = _named(one), _named(other)
    if any(
        a and b and a != b for a, b in (tuple(_said(names, kinds) for names in both) for kinds in ((_CLASS,), _MADE))
    ):
        return False
    return bool(set(grades(one)) & set(grades(other)))


@lru_cache(maxsize=4096)
def grades(name: str) -> tuple[str, ...]:
    """The single grades of a material name: `A312 TP304/304L` is TP304 and TP304L; most names are one grade.

    What a certificate adds to a grade is left out: `A105N` is A105, `A403 WP304L-S` is A403 WP304L.
    """
    return tuple(map(_as_listed, _named(name)))


@lru_cache(maxsize=4096)
def _named(name: str) -> tuple[str, ...]:
    """Each grade of a name, with what is added to it."""
    first, *others = same_name(name).split("/")
    stem = re.match(r"(A\d{3}(?:TP|WP|F)?)", first)
    prefix = stem[1] if stem else ""
    return (first, *(f"{prefix}{re.sub(r'^(TP|WP|F)', '', other)}" for other in others if other))


def _as_listed(grade: str) -> str:
    for added in _ADDED:
        grade = added.sub(r"\1", grade)
    return grade


def of_fitting(pipe: str, *, is_forged: bool) -> str:
    """The material of a fitting or flange that goes with a pipe's: A105 beside A106 Gr. B; the pipe's own if unknown.

    is_forged   a socket-welding fitting, an outlet fitting or a flange; otherwise one with butt-welding ends
    Source      common practice, no source
    """
    found = [_BESIDE.get(grade) for grade in grades(pipe)]
    if not all(found):
        return pipe
    names = [pair[0 if is_forged else 1] for pair in found if pair]
    own = "ASTM " if pipe.upper().startswith("ASTM") else ""
    first, *others = names
    return own + "/".join([first, *(one.rpartition(" ")[2] for one in others)])


def _said(names: tuple[str, ...], kinds: tuple[re.Pattern[str], ...]) -> str:
    """What is added to any of the names, by the first pattern that finds something; nothing where none does."""
    return next((found[2] for name in names for kind in kinds if (found := kind.match(name))), "")


@lru_cache(maxsize=4096)
def find_material(name: str) -> MaterialFacts | None:
    """The material of the built-in list with this name, or None; a dual grade is found by its first."""
    for grade in grades(name):
        for row in table("materials").rows:
            if same_name(row["material"]) == grade:
                return MaterialFacts(name=name, p_number=row["p_number"], group=row["group"])
    return None
