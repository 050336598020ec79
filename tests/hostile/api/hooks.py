"""What schemathesis cannot know of this API: checks of our own on every answer. Loaded by schemathesis.toml."""

import itertools
import json

import schemathesis
import urllib3.connectionpool
import urllib3.util.connection
from schemathesis import GenerationMode

PROBLEM = "urn:swapcall:problem:"

# Every request comes from a loopback address of its own: an address that shows wrong tokens again and again is told to
# wait (429), and then no more would be learned of the routes.
ADDRESSES = (f"127.66.{high}.{low}" for high, low in itertools.cycle(itertools.product(range(256), range(1, 255))))
connect = urllib3.util.connection.create_connection


def connect_from_elsewhere(address, *given, **named):
    named["source_address"] = (next(ADDRESSES), 0)
    return connect(address, given[0] if given else named.pop("timeout", None), **named)


urllib3.util.connection.create_connection = connect_from_elsewhere
urllib3.connectionpool.HTTPConnectionPool._put_conn = lambda pool, connection: connection and connection.close()


@schemathesis.check
def an_error_is_a_problem(ctx, response, case):
    """RFC 9457, sections 3 and 3.1; RFC 9110, sections 10.2.1 and 11.6.1; RFC 6750, section 3."""
    if response.status_code < 400:
        return
    kind = response.headers.get("content-type", [""])[0]
    assert kind == "application/problem+json", f"an error of the type {kind!r}"
    problem = json.loads(response.content) if response.content else None
    # The answer to HEAD has no body.
    if problem is not None:
        assert problem["type"].startswith(PROBLEM), problem
        assert problem["status"] == response.status_code, problem
        assert problem["title"] and problem["detail"], problem
    if response.status_code == 401:
        assert "www-authenticate" in response.headers, "401 names no way to sign in"
    if response.status_code == 405:
        assert response.headers.get("allow", [""])[0], "405 names no method that is allowed"


@schemathesis.check
def a_wrong_report_is_refused(ctx, response, case):
    """Of a batch with something wrong in it, at least one report is refused, unless the whole of it is."""
    if case.path != "/v1/reports" or case.method != "POST" or response.status_code != 200:
        return
    answer = json.loads(response.content)
    results = answer["results"]
    counted = answer["accepted"] + answer["duplicate"] + answer["refused"]
    assert counted == len(results), "each report has one outcome"
    meta = getattr(case, "meta", None)
    components = getattr(meta, "components", {}) if meta else {}
    body = next((part for name, part in components.items() if str(name.value) == "body"), None)
    if body is not None and body.mode == GenerationMode.NEGATIVE:
        assert answer["refused"] > 0, f"nothing was refused of {case.body!r}"
