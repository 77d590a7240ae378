"""What each route of the site must answer to: the verb that each method needs, written down apart from the code.

A route that is missing here fails the build. ANYBODY needs no sign-in, MEMBER a sign-in and no job.
"""

ANYBODY, MEMBER = "anybody", "member"
READ = {"GET": "read"}

ROUTES: dict[str, dict[str, str]] = {
    "healthz": {"GET": ANYBODY},
    "sign-in": {"GET": ANYBODY, "POST": ANYBODY},
    "sign-out": {"POST": ANYBODY},
    "start": {"GET": MEMBER},
    "compute-api": {"GET": MEMBER},
    "calculators": {"GET": MEMBER},
    "calculator": {"GET": MEMBER},
    "calculation-pdf": {"GET": MEMBER},
    "job": READ,
    "progress": READ,
    "line": READ,
    "people": READ,
    "papers": READ,
    "weld-map-pdf": READ,
    "weld-log-pdf": READ,
    "findings-pdf": READ,
    "packages": {"GET": "read", "POST": "build package"},
    "package-work": READ,
    "package-file": READ,
    "package-manifest": READ,
    "weld-log": READ,
    "joint": READ,
    "fit-up-record": {"GET": "record fit-up", "POST": "record fit-up"},
    "pass-record": {"GET": "record pass", "POST": "record pass"},
    "joint-assign": {"GET": "assign", "POST": "assign"},
    "record-withdraw": {"GET": "withdraw", "POST": "withdraw"},
    "welders": READ,
    "welder": READ,
    "heats": READ,
    "specification": READ,
    "specification-add": {"GET": "plan", "POST": "plan"},
    "specification-limit": {"GET": "plan", "POST": "plan"},
    "certificate": {"GET": "read", "POST": "plan"},
    "certificate-file": READ,
    "findings": READ,
    "examination-record": {"GET": "examine", "POST": "examine"},
    "repair-decide": {"GET": "decide repair", "POST": "decide repair"},
    "joint-release": {"GET": "release", "POST": "release"},
    "finding-override": {"GET": "override", "POST": "override"},
}

# Who may do what, as product.md has it; written again here so that a slip in the code's own table is seen.
MAY: dict[str, set[str]] = {
    "read": {"welder", "foreman", "inspector", "engineer", "owner", "client", "administrator"},
    "record fit-up": {"welder", "foreman", "inspector", "engineer"},
    "record pass": {"welder", "foreman", "engineer"},
    "assign": {"foreman", "engineer"},
    "withdraw": {"foreman", "inspector", "engineer"},
    "examine": {"inspector", "engineer"},
    "decide repair": {"inspector", "engineer"},
    "release": {"inspector", "engineer"},
    "override": {"inspector", "engineer"},
    "plan": {"engineer", "administrator"},
    "build package": {"inspector", "engineer", "administrator"},
}
