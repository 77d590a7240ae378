"""What each route of the site must answer to: the verb that each method needs, written down apart from the code.

A route that is missing here fails the build. ANYBODY needs no sign-in, MEMBER a sign-in and no job.
"""

ANYBODY, MEMBER = "anybody", "member"
READ = {"GET": "read"}

ROUTES: dict[str, dict[str, str]] = {
    "healthz": {"GET": ANYBODY},
    "sign-in": {"GET": ANYBODY, "POST": ANYBODY},
    "sign-out": {"POST": ANYBODY},
    "office:start": {"GET": MEMBER},
    "office:job": READ,
    "office:progress": READ,
    "office:line": READ,
    "office:people": READ,
    "office:papers": READ,
    "office:weld-map-pdf": READ,
    "office:weld-log-pdf": READ,
    "office:findings-pdf": READ,
    "office:packages": {"GET": "read", "POST": "build package"},
    "office:package-work": READ,
    "office:package-file": READ,
    "office:package-manifest": READ,
    "joints:weld-log": READ,
    "joints:joint": READ,
    "joints:fit-up-record": {"GET": "record fit-up", "POST": "record fit-up"},
    "joints:pass-record": {"GET": "record pass", "POST": "record pass"},
    "joints:joint-assign": {"GET": "assign", "POST": "assign"},
    "joints:record-withdraw": {"GET": "withdraw", "POST": "withdraw"},
    "joints:welders": READ,
    "joints:welder": READ,
    "joints:heats": READ,
    "joints:certificate": {"GET": "read", "POST": "plan"},
    "joints:certificate-file": READ,
    "inspection:findings": READ,
    "inspection:examination-record": {"GET": "examine", "POST": "examine"},
    "inspection:repair-decide": {"GET": "decide repair", "POST": "decide repair"},
    "inspection:joint-release": {"GET": "release", "POST": "release"},
    "inspection:finding-override": {"GET": "override", "POST": "override"},
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
