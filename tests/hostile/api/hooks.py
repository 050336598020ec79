"""What schemathesis cannot know of this API: checks of our own on every answer. Loaded by schemathesis.toml."""

import json

import schemathesis
from schemathesis import GenerationMode

PROBLEM = "urn:swapcall:problem:"


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
