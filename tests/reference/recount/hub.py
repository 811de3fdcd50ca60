"""The binary as its users have it: commands, a hub of its own, and the calls of its callers."""

import http.client
import json
import subprocess
import threading

ROLES = {"coordination": "coordinator", "agency": "centre"}


def command(binary, *arguments):
    """A command that must succeed; gives its output."""
    done = subprocess.run([binary, *map(str, arguments)], stdin=subprocess.DEVNULL, capture_output=True, text=True)
    if done.returncode:
        raise SystemExit(f"haulout {' '.join(map(str, arguments))} ended with {done.returncode}: {done.stderr}")
    return done.stdout


class Hub:
    """A hub on a database of its own, whose calendar we set."""

    def __init__(self, binary, database, region=None):
        self.binary, self.database = binary, database
        listen = ["serve", "--listen", "127.0.0.1:0", "--database", self.database, "--demo-clock"]
        self.process = subprocess.Popen([binary, *listen, *(["--region", str(region)] if region else [])],
                                        stdin=subprocess.DEVNULL, stdout=subprocess.PIPE,
                                        stderr=subprocess.DEVNULL, text=True)
        for line in self.process.stdout:
            if line.startswith("listening on http://"):
                break
        else:
            raise SystemExit("the hub did not start")
        self.line = http.client.HTTPConnection(line.strip().removeprefix("listening on http://"), timeout=120)
        # A full pipe would stop the hub.
        threading.Thread(target=self.process.stdout.read, daemon=True).start()
        self.tokens = {}

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.line.close()
        self.process.terminate()
        self.process.wait()

    def call(self, role, party, method, path, body=None, media="application/json"):
        """Status and JSON of a call by a party, or by the operator where it is None."""
        if (role, party) not in self.tokens:
            arguments = ["token", "issue", "--role", ROLES.get(role, role), "--database", self.database]
            arguments += ["--party", party] if party else []
            self.tokens[role, party] = command(self.binary, *arguments).strip()
        headers = {"authorization": f"Bearer {self.tokens[role, party]}", "content-type": media}
        self.line.request(method, path, body, headers)
        answer = self.line.getresponse()
        return answer.status, json.loads(answer.read())

    def set_clock(self, now):
        status, answer = self.call("operator", None, "POST", "/v1/demo/clock", json.dumps({"now": now}))
        if status != 200:
            raise SystemExit(f"clock {now}: {answer}")

    def submit(self, role, party, lines):
        """Outcomes of a party's records; each must be accepted or known."""
        status, answer = self.call(role, party, "POST", "/v1/submissions", "\n".join(lines).encode() + b"\n",
                                   "application/x-ndjson")
        if status != 200:
            refused = [(lines[one["line"] - 1], one) for one in answer.get("lines", [answer])
                       if one.get("outcome") == "rejected"]
            raise SystemExit(f"{party}: {status} {(refused or [answer])[:3]}")
        return answer["lines"]

    def changes(self, authority):
        """All that the journal holds, in the order of arrival."""
        path = "/v1/changes?limit=1000"
        while True:
            page = self.call("authority", authority, "GET", path)[1]
            yield from page["items"]
            if not page["items"]:
                return
            path = page["next"]

    def statement(self, period, known=None, **only):
        """The statement, as known at an instant or now; `only` one `centre` or `scientific_name`."""
        arguments = ["statement", "--period", period, "--format", "json", "--database", self.database]
        arguments += ["--as-known-at", known] if known else []
        for option, value in only.items():
            arguments += [f"--{option.replace('_', '-')}", value]
        return json.loads(command(self.binary, *arguments))
