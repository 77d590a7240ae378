"""Ask the site in this container whether it is well; exit 1 where it is not."""

import http.client
import os
import sys


def main(host: str = "127.0.0.1", port: int = 8000) -> int:
    """Return 0 where /healthz answers 200, asked under the first name that the site answers to."""
    name = os.environ.get("ALLOWED_HOSTS", "127.0.0.1").split(",")[0].strip()
    connection = http.client.HTTPConnection(host, port, timeout=4)
    try:
        connection.request("GET", "/healthz", headers={"Host": name})
        status = connection.getresponse().status
    except OSError as fault:
        sys.stderr.write(f"{fault}\n")
        return 1
    return 0 if status == 200 else 1


if __name__ == "__main__":
    sys.exit(main())
