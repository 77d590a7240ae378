"""Random routes that are sound by construction, from a seed: a main run with branches, reducers, valves and offsets."""

from random import Random

SQUARE = {
    "north": ("east", "west", "up", "down"),
    "south": ("east", "west", "up", "down"),
    "east": ("north", "south", "up", "down"),
    "west": ("north", "south", "up", "down"),
    "up": ("north", "south", "east", "west"),
    "down": ("north", "south", "east", "west"),
}
SMALLER = {"4": "3", "3": "2", "2": "1-1/2"}


def random_route(seed: int) -> tuple[str, str, str]:
    """A route's text with its size and schedule; 5 to some 120 joints."""
    random = Random(seed)
    is_socket = random.random() < 0.4
    nps, schedule = ("1", "80") if is_socket else (random.choice(("2", "3", "4")), "40")
    lines = [f"ends {'socket class 3000' if is_socket else 'butt'}"]
    lines.append(f"start at E {random.randint(0, 9000)} N {random.randint(0, 9000)} EL {random.randint(0, 9000)}")
    if random.random() < 0.5:
        lines.append("flange 150")
    heading = random.choice(list(SQUARE))
    lines.append(f"run {heading} {length(random)}")
    state = [nps]
    for _ in range(random.choice((2, 5, 10, 20, 35))):
        heading = _feature(random, lines, heading, state, is_socket)
    lines.append(random.choice(("open end", "continue on sheet 2", "flange 150")))
    return "\n".join(lines), nps, schedule


def length(random: Random) -> str:
    return str(random.choice((random.randint(600, 6000), random.randint(1200, 9600) / 2)))


def _feature(random: Random, lines: list[str], heading: str, state: list[str], is_socket: bool) -> str:
    """One thing, and the run after it."""
    kind = random.choice(
        ("elbow", "elbow", "tee", "offset", "skew", "field", "weld", "valve", "reducer", "olet", "stub")
    )
    aside = random.choice(SQUARE[heading])
    if kind == "elbow":
        lines.append(random.choice(("elbow", "elbow 90")))
        heading = aside
    elif kind == "tee":
        lines += ["tee", f"branch {aside}", f"run {aside} {length(random)}", "open end", "end branch"]
    elif kind == "offset":
        across = [one for one in SQUARE[heading] if one in SQUARE[aside]]
        roll = f" {across[0]} {random.randint(300, 900)}" if random.random() < 0.5 else ""
        lines.append(f"offset 45 {aside} {random.randint(300, 900)}{roll}")
    elif kind == "skew":
        far = random.randint(400, 900)
        lines += ["elbow 45", f"run {heading} {far} {aside} {far}", "elbow 45"]
    elif kind == "field":
        lines.append(random.choice(("field weld", "field fit weld", "field fit weld allowance 75")))
    elif kind == "weld":
        lines.append("shop weld")
    elif kind == "valve":
        lines += ["flange 150", "gasket 3", f"valve V length {random.randint(100, 300)}", "gasket 3", "flange 150"]
    elif kind == "reducer" and not is_socket and state[0] in ("4", "3"):
        state[0] = SMALLER[state[0]]
        shape = random.choice(("", f"eccentric flat {aside} "))
        lines.append(f"reducer {shape}to {state[0]}")
    elif kind == "olet" and not is_socket:
        lines += [
            "olet 1 sch 80 height 27 socket",
            f"branch {aside}",
            f"run {aside} {length(random)}",
            "open end",
            "end branch",
        ]
    elif kind == "stub" and not is_socket:
        pad = random.choice(("", " pad 40"))
        lines += [f"stub 2 sch 40{pad}", f"branch {aside}", f"run {aside} {length(random)}", "open end", "end branch"]
    lines.append(f"run {heading} {length(random)}")
    return heading
